// SPDX-License-Identifier: Apache-2.0
// The guide's table of keys is the program's: no key is missing there, and none is told that does nothing.

#include <QAbstractButton>
#include <QKeyEvent>
#include <QShortcut>
#include <QTest>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>

#include "apps/desktop/crop_view.h"
#include "apps/desktop/file_view.h"
#include "apps/desktop/ledger_page.h"
#include "apps/desktop/order.h"
#include "apps/desktop/pictures_page.h"
#include "apps/desktop/print_page.h"
#include "apps/desktop/sheet_canvas.h"
#include "apps/desktop/shops_page.h"
#include "apps/desktop/size_frames.h"
#include "apps/desktop/stage.h"
#include "apps/desktop/tests_page.h"
#include "apps/desktop/wall_view.h"
#include "tests/desktop/small_shop.h"

using namespace hangtrue;
using desktop_test::Desk;

namespace {

/// Rows of the table under "## Keys": where, and the keys in back quotes.
std::map<std::string, std::set<std::string>> told_keys() {
    std::ifstream guide(std::filesystem::path(HANGTRUE_SOURCE_DIR) / "docs/guide.md");
    std::map<std::string, std::set<std::string>> told;
    static const std::regex row("\\| ([^|]+) \\| ([^|]+) \\| [^|]+ \\|"), key("`([^`]+)`");
    bool is_there = false;
    for (std::string line; std::getline(guide, line);) {
        if (line.starts_with("## ")) is_there = line == "## Keys";
        std::smatch cells;
        if (!is_there || !std::regex_match(line, cells, row)) continue;
        const std::string keys = cells[2];
        for (std::sregex_iterator it(keys.begin(), keys.end(), key), end; it != end; ++it) {
            told[cells[1]].insert((*it)[1]);
        }
    }
    return told;
}

/// As the guide writes it: "Ctrl+Return".
std::string written(const QKeySequence& keys) { return keys.toString(QKeySequence::PortableText).toStdString(); }

bool answers(QWidget& widget, const QString& keys) {
    const QKeyCombination pressed = QKeySequence(keys)[0];
    QKeyEvent press(QEvent::KeyPress, pressed.key(), pressed.keyboardModifiers());
    QCoreApplication::sendEvent(&widget, &press);
    QKeyEvent release(QEvent::KeyRelease, pressed.key(), pressed.keyboardModifiers());
    QCoreApplication::sendEvent(&widget, &release);
    return press.isAccepted();
}

}  // namespace

class KeysTest : public QObject {
    Q_OBJECT
  private slots:
    void the_guide_tells_every_shortcut_of_the_window_and_each_button_its_own() {
        Desk desk;
        std::set<std::string> told;
        for (const auto& [where, keys] : told_keys()) told.insert(keys.begin(), keys.end());
        QVERIFY(told.size() > 20);
        std::set<std::string> known;
        for (const auto* button : desk.window->findChildren<QAbstractButton*>()) {
            if (button->shortcut().isEmpty()) continue;
            known.insert(written(button->shortcut()));
            // Undo and redo tell what they would do, and so tell it when there is something.
            const bool is_step = button->text() == QLatin1String("Undo") || button->text() == QLatin1String("Redo");
            const QString native = button->shortcut().toString(QKeySequence::NativeText);
            QVERIFY2(is_step || button->toolTip().contains(native), qPrintable(button->text() + native));
        }
        for (const auto* shortcut : desk.window->findChildren<QShortcut*>()) known.insert(written(shortcut->key()));
        for (const std::string& key : known) QVERIFY2(told.contains(key), key.c_str());
    }

    void no_key_means_two_things_at_once() {
        Desk desk;
        desktop_test::add_small_shop(desk);
        desktop::PrintPage& page = desk.window->print_page();
        // What can be pressed now; Qt answers a key that two have with neither.
        const auto twice = [&] {
            std::set<std::string> seen;
            std::string found;
            const auto add = [&](const QKeySequence& keys, const QWidget* of) {
                if (keys.isEmpty() || of == nullptr || !of->isVisible()) return;
                if (!seen.insert(written(keys)).second) found += written(keys) + " ";
            };
            for (const auto* button : desk.window->findChildren<QAbstractButton*>()) add(button->shortcut(), button);
            for (const auto* shortcut : desk.window->findChildren<QShortcut*>()) {
                add(shortcut->key(), qobject_cast<QWidget*>(shortcut->parent()));
            }
            return found;
        };
        for (const auto place : {desktop::Place::print, desktop::Place::pictures, desktop::Place::shops,
                                 desktop::Place::tests, desktop::Place::ledger}) {
            desk.window->go_to(place);
            QCOMPARE(QString::fromStdString(twice()), QString());
        }
        desk.window->go_to(desktop::Place::print);
        page.order().load_shops();
        page.open({desktop_test::small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, desktop_test::long_wait);
        for (const auto look : {desktop::Look::wall, desktop::Look::true_size, desktop::Look::dots}) {
            page.stage().look(look);
            QCOMPARE(QString::fromStdString(twice()), QString());
        }
    }

    void each_key_that_the_guide_tells_does_something_where_it_says() {
        Desk desk;
        desktop_test::add_small_shop(desk);
        desktop::PrintPage& page = desk.window->print_page();
        page.order().load_shops();
        page.open({desktop_test::small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr && page.order().sizes(), desktop_test::long_wait);
        // Each key where it is told: the same one of another page is no answer.
        const std::map<std::string, const QWidget*> pages{
            {"The print", &page},
            {"Pictures", &desk.window->pictures_page()},
            {"Shops", &desk.window->shops_page()},
            {"Test sheets", &desk.window->tests_page()},
            {"The ledger", &desk.window->ledger_page()},
        };
        std::map<std::string, std::set<std::string>> shortcuts;
        const auto note = [&](const QKeySequence& keys, const QWidget* of) {
            std::string place = "Everywhere";
            for (const auto& [name, one] : pages) {
                if (one == of || one->isAncestorOf(of)) place = name;
            }
            shortcuts[place].insert(written(keys));
        };
        for (const auto* button : desk.window->findChildren<QAbstractButton*>()) note(button->shortcut(), button);
        for (const auto* shortcut : desk.window->findChildren<QShortcut*>()) {
            note(shortcut->key(), qobject_cast<QWidget*>(shortcut->parent()));
        }
        page.stage().look(desktop::Look::true_size);
        page.stage().begin_crop();
        const std::map<std::string, std::vector<QWidget*>> answering{
            {"On the wall", {&page.stage().wall()}},
            {"True size, dot for dot", {&page.stage().file_view()}},
            {"The frames of the sizes", {page.findChild<desktop::FrameDrawing*>()}},
            {"Choosing the part", {&page.stage().crop_view()}},
            {"A sheet's cells", {&desk.window->tests_page().canvas()}},
        };
        for (const auto& [where, keys] : told_keys()) {
            for (const std::string& key : keys) {
                bool is_answered = shortcuts[where].contains(key);
                if (const auto who = answering.find(where); who != answering.end()) {
                    for (QWidget* widget : who->second) {
                        for (const auto* shortcut : widget->findChildren<QShortcut*>()) {
                            is_answered = is_answered || written(shortcut->key()) == key;
                        }
                        is_answered = is_answered || answers(*widget, QString::fromStdString(key));
                    }
                }
                QVERIFY2(is_answered, (where + ": " + key).c_str());
            }
        }
    }
};

QTEST_MAIN(KeysTest)
#include "keys_test.moc"
