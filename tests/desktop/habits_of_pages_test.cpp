// SPDX-License-Identifier: Apache-2.0
// What the pages keep while somebody works, what they tell apart, and several prints at once.

#include <QAbstractItemView>
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QListView>
#include <QPushButton>
#include <QSignalSpy>
#include <QTableView>
#include <QTest>
#include <algorithm>
#include <filesystem>

#include "apps/desktop/ledger_model.h"
#include "apps/desktop/ledger_page.h"
#include "apps/desktop/make_queue.h"
#include "apps/desktop/many_prints.h"
#include "apps/desktop/open_questions.h"
#include "apps/desktop/picture_model.h"
#include "apps/desktop/pictures_page.h"
#include "apps/desktop/sheet_form.h"
#include "apps/desktop/sheet_model.h"
#include "apps/desktop/shop_file_editor.h"
#include "apps/desktop/shop_model.h"
#include "apps/desktop/shops_page.h"
#include "apps/desktop/style.h"
#include "apps/desktop/task_line.h"
#include "apps/desktop/tests_page.h"
#include "engine/jobs/make.h"
#include "engine/jobs/test_sheets.h"
#include "tests/desktop/studio.h"

using namespace hangtrue;
using namespace hangtrue::desktop;
using namespace hangtrue::desktop_test;

namespace {

/// A test sheet of the ridge on the glossy paper, its file in `to`.
jobs::MadeTestSheet made_sheet(const Studio& studio, const fs::path& to) {
    fs::create_directories(to);
    return studio.run([&](jobs::Context& context) {
        jobs::TestSheetRequest request;
        request.picture = studio.ridge;
        request.to = to;
        for (const auto& [key, value] : {std::pair{"shop", "gloss-house"}, std::pair{"medium", "gloss"},
                                         std::pair{"size", "12x9in"}, std::pair{"enlarge", "filter"}}) {
            jobs::set_wish_word(request.wish, key, value);
        }
        request.anyway = true;
        return jobs::make_test_sheet(request, context);
    });
}

}  // namespace

class HabitsOfPagesTest : public QObject {
    Q_OBJECT
  private slots:
    void initTestCase() { set_look(*qApp, Grey::dark); }

    void a_test_sheet_in_the_ledger_is_told_from_a_print() {
        const Studio studio;
        made_sheet(studio, studio.out);
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        LedgerPage page(bridge, queue, nullptr);
        page.show();
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 1, patience_ms);
        QCOMPARE(page.model().index(0, LedgerModel::what_column).data().toString(), QStringLiteral("test sheet 1"));
        QCOMPARE(page.model().index(0, LedgerModel::picture_column).data().toString(), QStringLiteral("ridge.tif"));
        QSignalSpy chosen(&page, &LedgerPage::order_chosen);
        page.mark(0);
        page.hang_marked();
        QTest::qWait(50);
        QVERIFY(chosen.isEmpty());
    }

    void a_column_that_was_drawn_keeps_its_width_when_the_window_is_resized() {
        const Studio studio;
        made_sheet(studio, studio.out);
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        LedgerPage page(bridge, queue, nullptr);
        page.resize(1000, 600);
        page.show();
        auto* table = page.findChild<QTableView*>();
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 1, patience_ms);
        const int before = table->columnWidth(LedgerModel::medium_column);
        page.resize(1400, 600);
        QTRY_VERIFY(table->columnWidth(LedgerModel::medium_column) > before);
        table->setColumnWidth(LedgerModel::picture_column, 333);
        page.resize(1100, 600);
        QTest::qWait(50);
        QCOMPARE(table->columnWidth(LedgerModel::picture_column), 333);
    }

    void answers_of_two_sheets_are_kept_while_a_scan_is_read_and_what_is_pressed_stays() {
        const Studio studio;
        const std::int64_t first = made_sheet(studio, studio.out / "first").kept.sheet.number;
        const jobs::MadeTestSheet second = made_sheet(studio, studio.out / "second");
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        TestsPage page(bridge, queue, nullptr);
        QSignalSpy stands(&page, &TestsPage::was_shown);
        QSignalSpy ended(&page, &TestsPage::was_answered);
        page.show();
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 2, patience_ms);
        QTRY_VERIFY_WITH_TIMEOUT(!stands.isEmpty(), patience_ms);
        const auto answers_of = [&](std::int64_t number) {
            return page.model().sheet(page.model().row_of(number)).answers;
        };
        const Busy scanning(bridge, Lane::measure);
        page.load_scan(second.file, false);
        {
            const Busy keeping(bridge, Lane::keep);
            page.canvas().press(QStringLiteral("C"));
            page.give_answer();
            stands.clear();
            page.mark(first);
            QTRY_VERIFY_WITH_TIMEOUT(!stands.isEmpty(), patience_ms);
            page.canvas().press(QStringLiteral("B"));
            page.give_answer();
        }
        QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 2, patience_ms);
        QTRY_COMPARE_WITH_TIMEOUT(answers_of(first), 1, patience_ms);
        QTRY_COMPARE_WITH_TIMEOUT(answers_of(second.kept.sheet.number), 1, patience_ms);
        QVERIFY(page.canvas().best().isEmpty());
        QCOMPARE(page.findChild<QListView*>()->currentIndex().row(), page.model().row_of(first));

        // The line is still the scan's, and so is its button.
        QVERIFY(page.reading().isVisible());
        page.canvas().press(QStringLiteral("A"));
        page.reading().cancel();
        QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 3, patience_ms);
        QVERIFY2(page.words().contains(QStringLiteral("Sheet %1: Stopped").arg(second.kept.sheet.number)),
                 qPrintable(page.words()));
        QVERIFY(!page.reading().isVisible());

        // Taken back is what was answered, not what is pressed.
        page.withdraw();
        QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 4, patience_ms);
        QTRY_COMPARE_WITH_TIMEOUT(answers_of(first), 0, patience_ms);
        QCOMPARE(page.canvas().best(), QStringLiteral("A"));
        QCOMPARE(page.findChild<QListView*>()->currentIndex().row(), page.model().row_of(first));
    }

    void a_list_that_was_not_read_yet_is_not_said_to_be_empty() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        LedgerPage ledger(bridge, queue, nullptr);
        ShopsPage shops(bridge, nullptr);
        TestsPage tests(bridge, queue, nullptr);
        const auto says = [](QWidget& page, const char* words) {
            for (QLabel* label : page.findChildren<QLabel*>()) {
                if (label->text().contains(QString::fromUtf8(words))) return true;
            }
            return false;
        };
        {
            const Busy busy(bridge, Lane::list);
            for (QWidget* page :
                 {static_cast<QWidget*>(&ledger), static_cast<QWidget*>(&shops), static_cast<QWidget*>(&tests)}) {
                page->show();
                QVERIFY(says(*page, "Looking"));
                QVERIFY(!says(*page, "was made yet"));
            }
        }
        QTRY_VERIFY_WITH_TIMEOUT(says(ledger, "Nothing was made yet"), patience_ms);
        QTRY_VERIFY_WITH_TIMEOUT(says(tests, "No test sheet was made yet"), patience_ms);
        QTRY_VERIFY_WITH_TIMEOUT(!says(shops, "Looking"), patience_ms);
    }

    void words_that_are_not_saved_stay_with_their_own_shop() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        ShopsPage page(bridge, nullptr);
        page.show();
        page.begin_shop(QStringLiteral("Ridge Press"));
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 2, patience_ms);
        const std::string begun = text_of(studio.data / "shops/ridge-press.toml");
        QTRY_COMPARE_WITH_TIMEOUT(page.editor().text().toStdString(), begun, patience_ms);
        const QString written = page.editor().text() + QStringLiteral("\n# They answer by mail.\n");
        page.editor().set_text(written);

        page.mark(QStringLiteral("gloss-house"));
        QCOMPARE(page.editor().text().toStdString(), text_of(studio.data / "shops/gloss-house.toml"));
        QVERIFY(!page.editor().has_changes());
        QVERIFY(page.editor().has_unsaved_files());
        QVERIFY(page.model().index(1, 0).data().toString().contains(QStringLiteral("not saved")));
        page.mark(QStringLiteral("ridge-press"));
        QCOMPARE(page.editor().text(), written);
        QVERIFY(text_of(studio.data / "shops/ridge-press.toml") == begun);
        QSignalSpy checked(&page.editor(), &ShopFileEditor::was_checked);
        QTRY_VERIFY_WITH_TIMEOUT(!checked.isEmpty() && checked.back().front().toBool(), patience_ms);
        page.editor().save();
        QTRY_VERIFY_WITH_TIMEOUT(!page.editor().has_unsaved_files(), patience_ms);
        QVERIFY(text_of(studio.data / "shops/ridge-press.toml") == written.toStdString());

        // Given up, the file's own words are back.
        page.editor().set_text(QStringLiteral("nonsense"));
        page.editor().give_up_changes();
        QTRY_COMPARE_WITH_TIMEOUT(page.editor().text(), written, patience_ms);
        QVERIFY(!page.editor().has_unsaved_files());
    }

    void words_typed_after_saving_stay_though_another_shop_is_looked_at() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        ShopsPage page(bridge, nullptr);
        page.show();
        page.begin_shop(QStringLiteral("Ridge Press"));
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 2, patience_ms);
        const fs::path file = studio.data / "shops/ridge-press.toml";
        QTRY_COMPARE_WITH_TIMEOUT(page.editor().text().toStdString(), text_of(file), patience_ms);
        const QString saved = page.editor().text() + QStringLiteral("\n# They answer by mail.\n");
        const QString more = saved + QStringLiteral("# In two days.\n");
        QSignalSpy was_saved(&page.editor(), &ShopFileEditor::was_saved);
        {
            const Busy busy(bridge, Lane::keep);
            page.editor().set_text(saved);
            page.editor().save();
            page.editor().set_text(more);
            page.mark(QStringLiteral("gloss-house"));
        }
        QTRY_COMPARE_WITH_TIMEOUT(was_saved.size(), 1, patience_ms);
        QCOMPARE(text_of(file), saved.toStdString());
        page.mark(QStringLiteral("ridge-press"));
        QTRY_COMPARE_WITH_TIMEOUT(page.editor().text(), more, patience_ms);
        page.editor().save();
        QTRY_COMPARE_WITH_TIMEOUT(was_saved.size(), 2, patience_ms);
        QCOMPARE(text_of(file), more.toStdString());
    }

    void a_half_typed_answer_stays_while_another_is_filled_in() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        ShopsPage page(bridge, nullptr);
        page.show();
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 1, patience_ms);
        page.show_view(ShopsPage::View::questions);
        const auto field = [&](const char* key) -> QLineEdit* {
            for (QLineEdit* one : page.questions().findChildren<QLineEdit*>()) {
                if (one->objectName().endsWith(QLatin1Char('\n') + QString::fromUtf8(key)) && !one->isHidden()) {
                    return one;
                }
            }
            return nullptr;
        };
        QTRY_VERIFY_WITH_TIMEOUT(field("finish") != nullptr, patience_ms);
        QTest::keyClicks(field("finish"), QStringLiteral("high gl"));
        QSignalSpy answered(&page.questions(), &OpenQuestions::was_answered);
        page.questions().answer("gloss", "mirrored", QStringLiteral("no"));
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 1, patience_ms);
        QTRY_VERIFY_WITH_TIMEOUT(field("mirrored") == nullptr, patience_ms);
        QVERIFY(field("finish") != nullptr);
        QCOMPARE(field("finish")->text(), QStringLiteral("high gl"));
    }

    void escape_empties_a_search_and_enter_opens_what_is_marked() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        PicturesPage page(bridge, queue, Habits(studio.data), nullptr);
        page.show();
        page.activateWindow();
        QVERIFY(QTest::qWaitForWindowActive(&page));
        page.add({shown_path(studio.ridge), shown_path(studio.pictures / "small.png")});
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 2, patience_ms);
        auto* search = page.findChild<QLineEdit*>();
        search->setFocus();
        QTest::keyClicks(search, QStringLiteral("ridge"));
        auto* view = page.findChild<QAbstractItemView*>();
        QCOMPARE(view->model()->rowCount(), 1);
        QTest::keyClick(search, Qt::Key_Escape);
        QVERIFY(search->text().isEmpty());
        QCOMPARE(view->model()->rowCount(), 2);
        QSignalSpy chosen(&page, &PicturesPage::picture_chosen);
        view->setFocus();
        view->selectAll();
        QTest::keyClick(view, Qt::Key_Return);
        QVERIFY(chosen.isEmpty());
        auto* prints = page.findChild<ManyPrints*>();
        QVERIFY(prints != nullptr);
        QCOMPARE(prints->count(), 2);
        QTest::keyClick(prints, Qt::Key_Escape);
        QTRY_VERIFY(page.findChild<ManyPrints*>() == nullptr);
        view->setCurrentIndex(view->model()->index(0, 0));
        QTest::keyClick(view, Qt::Key_Return);
        QCOMPARE(chosen.size(), 1);
    }

    void several_pictures_get_one_order_and_an_order_sheet() {
        const Studio studio;
        support::write_tiff(studio.pictures / "valley.tif", support::gradient({1300, 975}, 3, 8), {});
        std::string shop = desktop_test::gloss_shop();
        shop +=
            "\n[[medium]]\nid = \"roll\"\nname = \"Roll\"\nblur = \"inkjet-rag\"\nppi = { least = 10, wanted = 60, "
            "most = 400 }\n[medium.free_sizes]\nleast_side = \"10 cm\"\nmost_short_side = \"1 m\"\n"
            "most_long_side = \"5 m\"\n";
        support::write_bytes(studio.data / "shops/gloss-house.toml", std::as_bytes(std::span(shop)));
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        PicturesPage page(bridge, queue, Habits(studio.data), nullptr);
        page.show();
        page.add({shown_path(studio.ridge), shown_path(studio.pictures / "valley.tif"),
                  shown_path(studio.pictures / "damaged.jpg")});
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 3, patience_ms);
        page.findChild<QAbstractItemView*>()->selectAll();
        ManyPrints* prints = page.begin_prints_of_marked();
        QVERIFY(prints != nullptr);
        QCOMPARE(prints->count(), 3);
        QSignalSpy looked(prints, &ManyPrints::was_looked_at);
        QTRY_VERIFY_WITH_TIMEOUT(!looked.isEmpty(), patience_ms);
        prints->choose(QStringLiteral("gloss-house"), QStringLiteral("gloss"), QStringLiteral("8 x 6"));
        prints->set_folder(shown_path(studio.out));
        // What does not fit is said of its picture.
        QTRY_VERIFY_WITH_TIMEOUT(prints->words_of(0).contains(QStringLiteral("damaged.jpg")), patience_ms);
        QVERIFY2(prints->words_of(1).contains(QStringLiteral("8 x 6 in on Gloss: enlarged 1.3 times")),
                 qPrintable(prints->words_of(1)));
        // Cut to order, a size is typed.
        prints->choose(QStringLiteral("gloss-house"), QStringLiteral("roll"), QStringLiteral("9000x10cm"));
        QTRY_VERIFY_WITH_TIMEOUT(prints->words_of(1).contains(QStringLiteral("Choose a size")), patience_ms);
        prints->choose(QStringLiteral("gloss-house"), QStringLiteral("roll"), QStringLiteral("40x30cm"));
        QTRY_VERIFY2_WITH_TIMEOUT(prints->words_of(1).contains(QStringLiteral("Roll")), qPrintable(prints->words_of(1)),
                                  patience_ms);
        prints->choose(QStringLiteral("gloss-house"), QStringLiteral("gloss"), QStringLiteral("8 x 6"));
        QTRY_VERIFY_WITH_TIMEOUT(prints->words_of(1).contains(QStringLiteral("8 x 6 in on Gloss")), patience_ms);
        // What was said holds for what was chosen then.
        {
            const Busy busy(bridge, Lane::list);
            prints->choose(QStringLiteral("gloss-house"), QStringLiteral("roll"), QStringLiteral("40x30cm"));
            QVERIFY2(prints->words_of(1).startsWith(QStringLiteral("Looking")), qPrintable(prints->words_of(1)));
            prints->choose(QStringLiteral("gloss-house"), QStringLiteral("roll"), QStringLiteral("9000x10cm"));
        }
        QTest::qWait(300);
        QVERIFY2(prints->words_of(1).contains(QStringLiteral("Choose a size")), qPrintable(prints->words_of(1)));
        prints->choose(QStringLiteral("gloss-house"), QStringLiteral("gloss"), QStringLiteral("8 x 6"));
        QTRY_VERIFY_WITH_TIMEOUT(prints->words_of(1).contains(QStringLiteral("8 x 6 in on Gloss")), patience_ms);
        QVERIFY(QTest::qWaitForWindowActive(prints));
        QTest::keyClick(prints, Qt::Key_Return, Qt::ControlModifier);
        QTRY_VERIFY(bridge.is_making());
        QTRY_VERIFY_WITH_TIMEOUT(!bridge.is_making(), patience_ms);
        int tiffs = 0, orders = 0;
        for (const auto& entry : fs::directory_iterator(studio.out)) {
            const std::string name = entry.path().filename().string();
            tiffs += name.ends_with(".tif") ? 1 : 0;
            orders += name.starts_with("order") ? 1 : 0;
        }
        QCOMPARE(tiffs, 2);
        QCOMPARE(orders, 1);
    }

    void only_a_listed_size_is_tested_where_the_medium_is_cut_to_order() {
        const Studio studio;
        std::string shop = gloss_shop();
        shop.insert(shop.find("ppi = "),
                    "free_sizes = { least_side = \"10 cm\", most_short_side = \"1 m\", "
                    "most_long_side = \"5 m\" }\n");
        support::write_bytes(studio.data / "shops/gloss-house.toml", std::as_bytes(std::span(shop)));
        const std::vector<jobs::ShopText> shops =
            studio.run([](jobs::Context& context) { return jobs::shop_texts(context); });
        QVERIFY2(shops.size() == 1 && shops[0].sentence.empty(), shops[0].sentence.c_str());
        SheetForm form(nullptr);
        form.set_shops(shops);
        form.choose(QStringLiteral("gloss-house"), QStringLiteral("gloss"), QStringLiteral("12 x 9"));
        for (const QComboBox* box : form.findChildren<QComboBox*>()) QVERIFY(!box->isEditable());
        form.set_picture(shown_path(studio.ridge));
        form.set_folder(shown_path(studio.out));
        QVERIFY(form.request().has_value());
    }

    void prints_of_one_order_keep_their_names_and_what_is_made_after_all_comes_onto_a_new_order_sheet() {
        const Studio studio;
        const fs::path valley = studio.pictures / "valley.tif";
        support::write_tiff(valley, support::gradient({1300, 975}, 3, 8), {});
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        const auto print = [&](const fs::path& picture, const char* panels) {
            jobs::MakeRequest request;
            request.picture = picture;
            request.to = studio.out;
            request.anyway = true;
            for (const auto& [key, value] :
                 {std::pair{"shop", "gloss-house"}, std::pair{"medium", "gloss"}, std::pair{"size", "8x6in"},
                  std::pair{"enlarge", "filter"}, std::pair{"panels", panels}}) {
                jobs::set_wish_word(request.wish, key, value);
            }
            return request;
        };
        const auto orders = [&] {
            int count = 0;
            for (const auto& entry : fs::directory_iterator(studio.out))
                count += entry.path().filename().string().starts_with("order") ? 1 : 0;
            return count;
        };
        const auto buttons = [&](const QString& text) {
            QList<QPushButton*> found;
            for (auto* button : queue.findChildren<QPushButton*>()) {
                if (button->text() == text && button->isVisible()) found.append(button);
            }
            return found;
        };
        const auto is_said = [&](const QString& words) {
            const auto labels = queue.findChildren<QLabel*>();
            return std::any_of(labels.begin(), labels.end(),
                               [&](const QLabel* label) { return label->text().contains(words); });
        };
        queue.add_prints({print(studio.ridge, "1")});
        QTRY_VERIFY_WITH_TIMEOUT(!bridge.is_making() && buttons(QStringLiteral("Ticket")).size() == 1, patience_ms);
        QCOMPARE(orders(), 0);
        // One's name is taken by an earlier order, another's by a print of this one.
        queue.add_prints({print(studio.ridge, "1"), print(valley, "2"), print(valley, "2")});
        QTRY_VERIFY_WITH_TIMEOUT(is_said(QStringLiteral("on one page for each shop")), patience_ms);
        QCOMPARE(orders(), 1);  // Panels come onto it too, and onto no other.
        QVERIFY(is_said(QStringLiteral("another print of this order")));
        QCOMPARE(buttons(QStringLiteral("Replace it")).size(), 1);
        buttons(QStringLiteral("Replace it")).front()->click();
        QTRY_VERIFY_WITH_TIMEOUT(is_said(QStringLiteral("the earlier one is out of date")), patience_ms);
        QCOMPARE(orders(), 2);
    }

    void panels_made_by_themselves_show_their_order_sheet() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        jobs::MakeRequest request;
        request.picture = studio.ridge;
        request.to = studio.out;
        request.anyway = true;
        for (const auto& [key, value] :
             {std::pair{"shop", "gloss-house"}, std::pair{"medium", "gloss"}, std::pair{"size", "8x6in"},
              std::pair{"enlarge", "filter"}, std::pair{"panels", "2"}}) {
            jobs::set_wish_word(request.wish, key, value);
        }
        queue.add(print_job(QStringLiteral("Ridge"), request));
        const auto is_shown = [&] {
            const auto buttons = queue.findChildren<QPushButton*>();
            return std::any_of(buttons.begin(), buttons.end(), [](const QPushButton* button) {
                return button->toolTip().contains(QStringLiteral("/order "));
            });
        };
        QTRY_VERIFY_WITH_TIMEOUT(is_shown(), patience_ms);
    }

    void a_list_of_prints_is_opened_looked_at_and_made() {
        const Studio studio;
        const std::string list =
            "format = 1\n[[print]]\npicture = \"ridge.tif\"\nshop = \"gloss-house\"\nmedium = \"gloss\"\n"
            "size = \"8x6in\"\nenlarge = \"filter\"\n"
            "[[print]]\npicture = \"ridge.tif\"\nshop = \"gloss-house\"\nmedium = \"gloss\"\nsize = \"9x9in\"\n";
        support::write_bytes(studio.pictures / "market.toml", std::as_bytes(std::span(list)));
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        PicturesPage page(bridge, queue, Habits(studio.data), nullptr);
        page.show();
        ManyPrints* prints = page.begin_prints_of_list(shown_path(studio.pictures / "market.toml"));
        QTRY_COMPARE_WITH_TIMEOUT(prints->count(), 2, patience_ms);
        QVERIFY2(prints->words_of(1).contains(QStringLiteral("not offered")), qPrintable(prints->words_of(1)));
        prints->set_folder(shown_path(studio.out));
        prints->make();
        QTRY_VERIFY_WITH_TIMEOUT(!bridge.is_making(), patience_ms);
        int tiffs = 0;
        for (const auto& entry : fs::directory_iterator(studio.out))
            tiffs += entry.path().extension() == ".tif" ? 1 : 0;
        QCOMPARE(tiffs, 1);
    }
};

QTEST_MAIN(HabitsOfPagesTest)
#include "habits_of_pages_test.moc"
