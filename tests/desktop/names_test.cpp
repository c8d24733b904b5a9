// SPDX-License-Identifier: Apache-2.0
// The window by keys and by ear: every control that takes the keys has a name, and Tab comes to it.

#include <QAbstractButton>
#include <QButtonGroup>
#include <QComboBox>
#include <QLineEdit>
#include <QScrollArea>
#include <QSet>
#include <QSignalSpy>
#include <QTest>

#include "apps/desktop/ledger_model.h"
#include "apps/desktop/ledger_page.h"
#include "apps/desktop/many_prints.h"
#include "apps/desktop/order.h"
#include "apps/desktop/picture_model.h"
#include "apps/desktop/pictures_page.h"
#include "apps/desktop/print_page.h"
#include "apps/desktop/sheet_model.h"
#include "apps/desktop/shop_model.h"
#include "apps/desktop/shops_page.h"
#include "apps/desktop/stage.h"
#include "apps/desktop/tests_page.h"
#include "engine/jobs/make.h"
#include "engine/jobs/readings.h"
#include "engine/jobs/test_sheets.h"
#include "tests/desktop/screens.h"
#include "tests/desktop/studio.h"

using namespace hangtrue;
using namespace hangtrue::desktop;
using desktop_test::patience_ms;
using desktop_test::Studio;

namespace {

QString name_of(const QWidget& widget) {
    if (!widget.accessibleName().isEmpty()) return widget.accessibleName();
    if (const auto* button = qobject_cast<const QAbstractButton*>(&widget)) return button->text();
    return {};
}

QString described(const QWidget& widget) {
    QString path = QString::fromUtf8(widget.metaObject()->className());
    for (const QWidget* parent = widget.parentWidget(); parent != nullptr; parent = parent->parentWidget()) {
        path += QStringLiteral(" in ") + QString::fromUtf8(parent->metaObject()->className());
    }
    return path + QStringLiteral(" \"") + name_of(widget) + QLatin1Char('"');
}

/// Of several that one is chosen of, Tab comes to the chosen one, and arrow keys go on from there.
bool is_beside_the_chosen(const QWidget& widget) {
    const auto* button = qobject_cast<const QAbstractButton*>(&widget);
    return button != nullptr && button->group() != nullptr && button->group()->exclusive() && !button->isChecked();
}

/// Those that Tab should come to now. Parts of a control (a spin box's field) are the control's.
QList<QWidget*> controls_of(QWidget& page) {
    QList<QWidget*> controls;
    for (QWidget* widget : page.findChildren<QWidget*>()) {
        const bool takes_keys = (widget->focusPolicy() & Qt::TabFocus) == Qt::TabFocus;
        const bool is_part = widget->parentWidget() != nullptr && widget->parentWidget()->focusProxy() == widget;
        const bool is_own = !widget->objectName().startsWith(QLatin1String("qt_"));
        if (takes_keys && is_own && !is_part && widget->isVisible() && widget->isEnabled()) controls.append(widget);
    }
    return controls;
}

/// Presses Tab until it comes round.
QSet<QWidget*> reached_by_tab(QWidget& first) {
    QSet<QWidget*> reached;
    first.setFocus();
    for (int i = 0; i < 400; ++i) {
        QWidget* at = QApplication::focusWidget();
        if (at == nullptr) break;
        if (reached.contains(at) && at == &first) break;
        reached.insert(at);
        QTest::keyClick(at, Qt::Key_Tab);
    }
    return reached;
}

}  // namespace

class NamesTest : public QObject {
    Q_OBJECT
  private:
    /// A sheet that was answered and a print, so that every page has what it can have.
    static void fill(const Studio& studio) {
        studio.run([&](jobs::Context& context) {
            const auto wish = [](const char* size) {
                plan::Wish made;
                for (const auto& [key, value] : {std::pair{"shop", "gloss-house"}, std::pair{"medium", "gloss"},
                                                 std::pair{"size", size}, std::pair{"enlarge", "filter"}}) {
                    jobs::set_wish_word(made, key, value);
                }
                return made;
            };
            jobs::MakeRequest request;
            request.picture = studio.ridge;
            request.to = studio.out;
            request.wish = wish("8x6in");
            jobs::make({request}, context);
            jobs::TestSheetRequest sheet;
            sheet.picture = studio.ridge;
            sheet.to = studio.out;
            sheet.wish = wish("12x9in");
            sheet.anyway = true;
            jobs::make_test_sheet(sheet, context);
            return true;
        });
    }

  private slots:
    void every_control_of_every_page_has_a_name_and_is_reached_by_tab() {
        const Studio studio;
        fill(studio);
        set_look(*qApp, Grey::dark);
        Bridge bridge(studio.workplace());
        MainWindow window(bridge, Habits(studio.data));
        window.resize(1280, 800);
        window.show();
        window.activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(&window));

        const auto look_at = [&](const char* place, QWidget& page) {
            QTest::qWait(50);
            desktop_test::keep_screen(page, QString::fromUtf8(place).replace(QLatin1Char(' '), QLatin1Char('-')));
            const QList<QWidget*> controls = controls_of(page);
            QVERIFY2(!controls.isEmpty(), place);
            QStringList nameless, missed;
            for (QWidget* control : controls) {
                if (name_of(*control).trimmed().isEmpty()) nameless.append(described(*control));
            }
            const QSet<QWidget*> reached = reached_by_tab(*controls.front());
            for (QWidget* control : controls) {
                const bool is_there = control->isVisible() && control->isEnabled();
                if (!reached.contains(control) && is_there && !is_beside_the_chosen(*control)) {
                    missed.append(described(*control));
                }
            }
            QVERIFY2(nameless.isEmpty(), qPrintable(QString::fromUtf8(place) + QStringLiteral(" has no name for ") +
                                                    nameless.join(QLatin1String("; "))));
            QVERIFY2(missed.isEmpty(), qPrintable(QString::fromUtf8(place) + QStringLiteral(": Tab does not come to ") +
                                                  missed.join(QLatin1String("; "))));
        };
        window.go_to(Place::print);
        look_at("the empty wall", window);
        PrintPage& print = window.print_page();
        print.open_as(studio.ridge,
                      {{"shop", "gloss-house"}, {"medium", "gloss"}, {"size", "8x6in"}, {"enlarge", "filter"}});
        QTRY_VERIFY_WITH_TIMEOUT(print.order().settled() && !print.order().image().isNull(), patience_ms);
        look_at("the print", window);

        window.go_to(Place::pictures);
        window.pictures_page().add({desktop_test::shown_path(studio.ridge)});
        QTRY_COMPARE_WITH_TIMEOUT(window.pictures_page().model().rowCount(), 1, patience_ms);
        look_at("pictures", window);

        window.go_to(Place::shops);
        QTRY_COMPARE_WITH_TIMEOUT(window.shops_page().model().rowCount(), 1, patience_ms);
        window.shops_page().mark(QStringLiteral("gloss-house"), QStringLiteral("gloss"));
        for (const auto view :
             {ShopsPage::View::known, ShopsPage::View::questions, ShopsPage::View::letter, ShopsPage::View::file}) {
            window.shops_page().show_view(view);
            look_at("shops", window);
        }

        QSignalSpy stands(&window.tests_page(), &TestsPage::was_shown);
        window.go_to(Place::tests);
        QTRY_VERIFY_WITH_TIMEOUT(!stands.isEmpty(), patience_ms);
        look_at("test sheets", window);
        window.tests_page().begin_sheet(desktop_test::shown_path(studio.ridge));
        look_at("a new test sheet", window);

        window.go_to(Place::ledger);
        QTRY_COMPARE_WITH_TIMEOUT(window.ledger_page().model().rowCount(), 2, patience_ms);
        window.ledger_page().mark(1);
        look_at("the ledger", window);
        {
            // What is made stands at the foot of the page.
            const desktop_test::Busy busy(bridge, Lane::make);
            window.ledger_page().make_again(window.ledger_page().model().row(1).id, studio.out);
            look_at("the ledger while something is made", window);
        }

        window.go_to(Place::pictures);
        ManyPrints* prints =
            window.pictures_page().begin_prints_of_list(desktop_test::shown_path(studio.pictures / "none.toml"));
        prints->show_pictures({studio.ridge});
        QVERIFY(QTest::qWaitForWindowActive(prints));
        look_at("several prints", *prints);
        QTest::keyClick(prints, Qt::Key_Escape);
        QTRY_VERIFY(!window.pictures_page().isHidden());
    }
};

QTEST_MAIN(NamesTest)
#include "names_test.moc"
