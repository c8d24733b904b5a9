// SPDX-License-Identifier: Apache-2.0
// One walk through each page, doing its job: what counts is what lies in files and ledger afterwards.

#include <QAbstractItemModelTester>
#include <QAbstractItemView>
#include <QLineEdit>
#include <QPushButton>
#include <QSignalSpy>
#include <QTest>
#include <algorithm>
#include <atomic>
#include <filesystem>
#include <thread>

#include "apps/desktop/ledger_model.h"
#include "apps/desktop/ledger_page.h"
#include "apps/desktop/make_queue.h"
#include "apps/desktop/open_questions.h"
#include "apps/desktop/picture_model.h"
#include "apps/desktop/pictures_page.h"
#include "apps/desktop/sheet_canvas.h"
#include "apps/desktop/sheet_form.h"
#include "apps/desktop/sheet_model.h"
#include "apps/desktop/shop_file_editor.h"
#include "apps/desktop/shop_model.h"
#include "apps/desktop/shops_page.h"
#include "apps/desktop/style.h"
#include "apps/desktop/task_line.h"
#include "apps/desktop/tests_page.h"
#include "engine/jobs/make.h"
#include "engine/jobs/sheet_list.h"
#include "engine/jobs/verify.h"
#include "engine/ledger/trial_records.h"
#include "tests/desktop/studio.h"

using namespace hangtrue;
using namespace hangtrue::desktop;
using namespace hangtrue::desktop_test;

class PagesTest : public QObject {
    Q_OBJECT
  private slots:
    void initTestCase() { set_look(*qApp, Grey::dark); }

    void pictures_of_a_folder_are_shown_with_what_they_are_good_for() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        std::atomic<bool> entered_on_user{false};
        bridge.set_entered_hook([&, user = std::this_thread::get_id()](std::thread::id worker) {
            if (worker == user) entered_on_user = true;
        });
        MakeQueue queue(bridge, nullptr);
        PicturesPage page(bridge, queue, Habits(studio.data), nullptr);
        auto& model = const_cast<PictureModel&>(page.model());
        const QAbstractItemModelTester tester(&model, QAbstractItemModelTester::FailureReportingMode::QtTest);
        page.show();
        page.add({shown_path(studio.pictures)});
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 3, patience_ms);

        const QModelIndex ridge = row_named(model, QStringLiteral("ridge.tif"));
        QVERIFY(ridge.isValid());
        QCOMPARE(ridge.data(PictureModel::pixels_role).toString(), QStringLiteral("1200 x 900 px, 8 bit"));
        // 1200 px at 200 ppi are 6 in: both sizes of the shop are larger.
        QVERIFY(ridge.data(PictureModel::largest_role).toString().contains(QStringLiteral("needs enlarging")));
        const QModelIndex damaged = row_named(model, QStringLiteral("damaged.jpg"));
        QVERIFY(damaged.data(PictureModel::is_broken_role).toBool());
        QVERIFY(damaged.data(PictureModel::largest_role).toString().contains(QStringLiteral("damaged.jpg")));
        QTRY_VERIFY_WITH_TIMEOUT(
            !row_named(model, QStringLiteral("ridge.tif")).data(PictureModel::thumbnail_role).value<QImage>().isNull(),
            patience_ms);
        const auto thumbnail =
            row_named(model, QStringLiteral("ridge.tif")).data(PictureModel::thumbnail_role).value<QImage>();
        QCOMPARE(thumbnail.width() * 3, thumbnail.height() * 4);
        QVERIFY(!entered_on_user);
        // How much of its 1.1 megapixels is detail was measured: noise on every pixel is as fine as can be.
        QTRY_VERIFY_WITH_TIMEOUT(model.next_without_detail().isEmpty(), patience_ms);
        QVERIFY(row_named(model, QStringLiteral("ridge.tif"))
                    .data(PictureModel::detail_role)
                    .toString()
                    .contains(QStringLiteral("of 1.1 megapixels")));

        // The list is kept, and the files are left as they were.
        const std::string before = text_of(studio.ridge);
        PicturesPage next_day(bridge, queue, Habits(studio.data), nullptr);
        next_day.show();
        QTRY_COMPARE_WITH_TIMEOUT(next_day.model().rowCount(), 3, patience_ms);
        auto* view = next_day.findChild<QAbstractItemView*>();
        view->setCurrentIndex(row_named(*view->model(), QStringLiteral("small.png")));
        next_day.remove_marked();
        QTRY_COMPARE_WITH_TIMEOUT(next_day.model().rowCount(), 2, patience_ms);
        QVERIFY(fs::exists(studio.pictures / "small.png"));
        QVERIFY(text_of(studio.ridge) == before);

        // Enter hangs the marked one.
        QSignalSpy chosen(&next_day, &PicturesPage::picture_chosen);
        view->setCurrentIndex(row_named(*view->model(), QStringLiteral("ridge.tif")));
        view->setFocus();
        QTest::keyClick(view, Qt::Key_Return);
        QCOMPARE(chosen.size(), 1);
        QCOMPARE(chosen.front().front().toString(), shown_path(studio.ridge));
    }

    void a_shop_is_begun_filled_in_and_asked() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        ShopsPage page(bridge, nullptr);
        auto& model = const_cast<ShopModel&>(page.model());
        const QAbstractItemModelTester tester(&model, QAbstractItemModelTester::FailureReportingMode::QtTest);
        page.show();
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 1, patience_ms);
        QCOMPARE(model.rowCount(model.index(0, 0)), 1);
        page.begin_shop(QStringLiteral("Ridge Press"));
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 2, patience_ms);
        const fs::path begun = studio.data / "shops/ridge-press.toml";
        QVERIFY(fs::exists(begun));
        QTRY_COMPARE_WITH_TIMEOUT(page.editor().text().toStdString(), text_of(begun), patience_ms);

        // A mistake is told with its line and is not saved.
        QSignalSpy checked(&page.editor(), &ShopFileEditor::was_checked);
        const std::string in_order = text_of(begun);
        page.editor().set_text(QString::fromStdString(in_order) + QStringLiteral("\ncurency = \"EUR\"\n"));
        QTRY_VERIFY_WITH_TIMEOUT(!checked.isEmpty() && !checked.back().front().toBool(), patience_ms);
        QVERIFY2(page.editor().words().contains(QStringLiteral("line")), qPrintable(page.editor().words()));
        QVERIFY2(page.editor().words().contains(QStringLiteral("currency")), qPrintable(page.editor().words()));
        page.editor().save();
        QTest::qWait(100);
        QVERIFY(text_of(begun) == in_order);

        // Put right, it is.
        QSignalSpy saved(&page.editor(), &ShopFileEditor::was_saved);
        page.editor().set_text(QString::fromStdString(in_order) + QStringLiteral("\n# They answer by mail.\n"));
        QTRY_VERIFY_WITH_TIMEOUT(checked.back().front().toBool(), patience_ms);
        page.editor().save();
        QTRY_COMPARE_WITH_TIMEOUT(saved.size(), 1, patience_ms);
        QVERIFY(text_of(begun) == in_order + "\n# They answer by mail.\n");

        // An answer goes into the file, everything else stays, and the letter asks for it no more.
        page.mark(QStringLiteral("gloss-house"));
        QTRY_VERIFY_WITH_TIMEOUT(page.letter().contains(QStringLiteral("mirrored")), patience_ms);
        const fs::path gloss = studio.data / "shops/gloss-house.toml";
        const std::string before = text_of(gloss);
        QSignalSpy answered(&page.questions(), &OpenQuestions::was_answered);
        page.questions().answer("gloss", "mirrored", QStringLiteral("perhaps"));
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 1, patience_ms);
        QVERIFY(text_of(gloss) == before);
        QVERIFY2(page.questions().words().contains(QStringLiteral("mirrored")), qPrintable(page.questions().words()));
        page.questions().answer("gloss", "mirrored", QStringLiteral("no"));
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 2, patience_ms);
        const std::string after = text_of(gloss);
        const std::size_t line = after.find("mirrored = false\n");
        QVERIFY(line != std::string::npos);
        std::string without = after;
        without.erase(line, std::string("mirrored = false\n").size());
        QVERIFY(without == before);
        QTRY_VERIFY_WITH_TIMEOUT(!page.letter().contains(QStringLiteral("mirrored")), patience_ms);
    }

    void after_an_answer_the_keys_are_at_the_next_question() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        ShopsPage page(bridge, nullptr);
        page.show();
        QVERIFY(QTest::qWaitForWindowActive(&page));
        QTRY_COMPARE_WITH_TIMEOUT(page.model().rowCount(), 1, patience_ms);
        page.mark(QStringLiteral("gloss-house"), QStringLiteral("gloss"));
        page.show_view(ShopsPage::View::questions);
        const auto fields = [&] {
            QList<QLineEdit*> shown;
            for (auto* field : page.questions().findChildren<QLineEdit*>()) {
                if (field->isVisible()) shown.append(field);
            }
            return shown;
        };
        QTRY_VERIFY_WITH_TIMEOUT(fields().size() >= 3, patience_ms);
        QLineEdit* asked = nullptr;
        QString next;
        for (QLineEdit* field : fields()) {
            if (asked != nullptr && next.isEmpty()) next = field->objectName();
            if (field->objectName().endsWith(QLatin1String("\nmirrored"))) asked = field;
        }
        QVERIFY(asked != nullptr && !next.isEmpty());
        const QString answered = asked->objectName();
        asked->setFocus();
        QTest::keyClicks(asked, QStringLiteral("no"));
        QTest::keyClick(asked, Qt::Key_Return);
        const auto at = [] { return qobject_cast<QLineEdit*>(QApplication::focusWidget()); };
        QTRY_VERIFY_WITH_TIMEOUT(at() != nullptr && at()->objectName() == next, patience_ms);
        QTest::qWait(100);  // What else is read anew moves it no more.
        QVERIFY(at() != nullptr && at()->isVisible());
        QCOMPARE(at()->objectName(), next);
        QVERIFY(page.questions().findChild<QLineEdit*>(answered) == nullptr);
    }

    void a_test_sheet_is_made_answered_scanned_and_taken_back() {
        const Studio studio;
        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        TestsPage page(bridge, queue, nullptr);
        page.resize(1200, 760);
        auto& model = const_cast<SheetModel&>(page.model());
        const QAbstractItemModelTester tester(&model, QAbstractItemModelTester::FailureReportingMode::QtTest);
        page.show();
        page.begin_sheet(shown_path(studio.ridge));
        page.form().set_folder(shown_path(studio.out));
        QTRY_VERIFY_WITH_TIMEOUT(page.form().request().has_value(), patience_ms);
        page.form().choose(QStringLiteral("gloss-house"), QStringLiteral("gloss"), QStringLiteral("12 x 9"));
        QSignalSpy ended(&page, &TestsPage::was_answered);
        QSignalSpy stands(&page, &TestsPage::was_shown);
        page.make_sheet();
        QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 1, patience_ms);
        QTRY_VERIFY2_WITH_TIMEOUT(model.rowCount() == 1, qPrintable(page.words()), patience_ms);
        const jobs::ListedSheet made = model.sheet(0);
        QVERIFY(fs::exists(made.file));
        QVERIFY(fs::exists(made.guide));
        QTRY_VERIFY_WITH_TIMEOUT(!stands.isEmpty(), patience_ms);

        // A press in the picture of the sheet is an answer.
        QVERIFY(!page.canvas().place_of(QStringLiteral("C")).isNull());
        QTest::mouseClick(&page.canvas(), Qt::LeftButton, {}, page.canvas().place_of(QStringLiteral("C")).center());
        QTest::mouseClick(&page.canvas(), Qt::LeftButton, {}, page.canvas().place_of(QStringLiteral("B")).center());
        QCOMPARE(page.canvas().best(), QStringLiteral("C"));
        QCOMPARE(page.canvas().second(), QStringLiteral("B"));
        // Not given yet, it stays when the page reads everything anew.
        const auto shown_before = stands.size();
        page.refresh();
        QTRY_VERIFY_WITH_TIMEOUT(stands.size() > shown_before, patience_ms);
        QCOMPARE(page.canvas().best(), QStringLiteral("C"));
        QCOMPARE(page.canvas().second(), QStringLiteral("B"));
        page.give_answer();
        QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 2, patience_ms);
        QTRY_COMPARE_WITH_TIMEOUT(model.sheet(0).answers, 1, patience_ms);
        auto readings =
            studio.run([&](jobs::Context& context) { return jobs::readings_of_sheet(made.number, context); });
        QCOMPARE(readings.size(), std::size_t{1});
        QCOMPARE(readings.front().sentence, std::string("By eye: C, next best B."));
        QTRY_VERIFY_WITH_TIMEOUT(!page.taught().isEmpty(), patience_ms);
        QVERIFY(page.canvas().best().isEmpty());

        // Reading a scan can be stopped, also while it waits behind something that is being measured.
        {
            const Busy busy(bridge, Lane::measure);
            page.load_scan(made.file, false);
            QVERIFY(page.reading().isVisible());
            page.reading().cancel();
            QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 3, patience_ms);
            QVERIFY2(page.words().contains(QStringLiteral("Stopped")), qPrintable(page.words()));
            QVERIFY(!page.reading().isVisible());
            QCOMPARE(model.sheet(0).measurements, 0);
        }

        // A scan of a printer that errs in nothing: what is read, relative to the paper, is what was sent.
        const fs::path scan = studio.folder.path() / "scan.tif";
        write_scan_of(made.file, scan, studio);
        page.load_scan(scan, false);
        QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 4, patience_ms);
        QTRY_VERIFY2_WITH_TIMEOUT(model.sheet(0).measurements == 1, qPrintable(page.words()), patience_ms);
        readings = studio.run([&](jobs::Context& context) { return jobs::readings_of_sheet(made.number, context); });
        QCOMPARE(readings.size(), std::size_t{2});
        QVERIFY(readings.back().colours.size() > 30);
        // Colours that are not dark: the black's 0.01 lifts a middle grey (Y 0.18) by 1.1 of L*, lighter ones less;
        // half of one more for reading.
        for (const jobs::ReadColour& colour : readings.back().colours) {
            const bool is_light = *std::min_element(colour.meant.begin(), colour.meant.end()) > 118;
            if (is_light) QVERIFY2(colour.difference < 1.6, colour.name.c_str());
        }

        // Taken back, nothing of it counts; the ledger keeps all.
        page.withdraw();
        QTRY_COMPARE_WITH_TIMEOUT(ended.size(), 5, patience_ms);
        QTRY_COMPARE_WITH_TIMEOUT(model.sheet(0).answers + model.sheet(0).measurements, 0, patience_ms);
        const ledger::TrialRecords records(studio.data / "ledger.sqlite", ledger::Access::look);
        QCOMPARE(records.readings(made.printed).size(), std::size_t{3});
    }

    void a_record_is_found_read_again_and_made_again() {
        const Studio studio;
        const jobs::MakeOutcome made = studio.run([&](jobs::Context& context) {
            jobs::MakeRequest request;
            request.picture = studio.ridge;
            request.to = studio.out;
            for (const auto& [key, value] :
                 {std::pair{"shop", "gloss-house"}, std::pair{"medium", "gloss"}, std::pair{"size", "8x6in"},
                  std::pair{"enlarge", "filter"}, std::pair{"quantity", "3"}, std::pair{"distance", "3m"}}) {
                jobs::set_wish_word(request.wish, key, value);
            }
            return jobs::make({request}, context).outcomes.at(0);
        });
        QVERIFY2(made.ending == jobs::Ending::done, made.sentence.c_str());
        const fs::path file = made.files.at(0).file;

        Bridge bridge(studio.workplace());
        MakeQueue queue(bridge, nullptr);
        LedgerPage page(bridge, queue, nullptr);
        auto& model = const_cast<LedgerModel&>(page.model());
        const QAbstractItemModelTester tester(&model, QAbstractItemModelTester::FailureReportingMode::QtTest);
        page.show();
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 1, patience_ms);
        // Names, and sizes in the unit that was chosen.
        const auto cell = [&](LedgerModel::Column column) { return model.index(0, column).data().toString(); };
        QCOMPARE(cell(LedgerModel::shop_column), QStringLiteral("Gloss House"));
        QCOMPARE(cell(LedgerModel::medium_column), QStringLiteral("Gloss"));
        QCOMPARE(cell(LedgerModel::size_column), QStringLiteral("8 x 6 in"));
        QCOMPARE(cell(LedgerModel::what_column), QStringLiteral("3 prints"));
        bridge.set_units(base::ShownUnits::centimetres);
        QCOMPARE(cell(LedgerModel::size_column), QStringLiteral("20.3 x 15.2 cm"));
        bridge.set_units(base::ShownUnits::inches);
        page.search(QStringLiteral("no such picture"));
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 0, patience_ms);
        page.search(QStringLiteral("ridge"));
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 1, patience_ms);

        page.mark(0);
        QSignalSpy answered(&page, &LedgerPage::was_answered);
        page.verify_marked();
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 1, patience_ms);
        QVERIFY2(page.words().contains(QStringLiteral("sample for sample")), qPrintable(page.words()));

        // Hung again, it comes with its order.
        QSignalSpy chosen(&page, &LedgerPage::order_chosen);
        page.hang_marked();
        QTRY_COMPARE_WITH_TIMEOUT(chosen.size(), 1, patience_ms);
        QCOMPARE(chosen.front().at(0).toString(), shown_path(studio.ridge));
        const auto order = chosen.front().at(1).value<jobs::WishWords>();
        QCOMPARE(order.at("medium"), std::string("gloss"));
        QCOMPARE(order.at("quantity"), std::string("3"));
        QCOMPARE(order.at("distance"), std::string("3000mm"));

        // What waits is seen in the queue, and cancelled there.
        {
            const Busy busy(bridge, Lane::make);
            page.make_again(model.row(0).id, studio.out);
            QVERIFY(!queue.is_empty());
            for (QPushButton* button : queue.findChildren<QPushButton*>()) button->click();
            QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 2, patience_ms);
            QVERIFY2(page.words().contains(QStringLiteral("Stopped")), qPrintable(page.words()));
            QCOMPARE(model.rowCount(), 1);
        }

        const fs::path elsewhere = studio.folder.path() / "again";
        fs::create_directory(elsewhere);
        page.make_again(model.row(0).id, elsewhere);
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 3, patience_ms);
        QVERIFY2(fs::exists(elsewhere / file.filename()), qPrintable(page.words()));
        QVERIFY(text_of(elsewhere / file.filename()) == text_of(file));
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 2, patience_ms);

        // Its picture moved and renamed, it is found where one says to look.
        fs::create_directories(studio.folder.path() / "attic/old");
        fs::rename(studio.ridge, studio.folder.path() / "attic/old/mountain.tif");
        const fs::path third = studio.folder.path() / "third";
        fs::create_directory(third);
        page.make_again(model.row(0).id, third);
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 4, patience_ms);
        QVERIFY2(!fs::exists(third / file.filename()), qPrintable(page.words()));
        page.look_for_picture_in(studio.folder.path() / "attic");
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 5, patience_ms);
        QVERIFY2(fs::exists(third / file.filename()), qPrintable(page.words()));
        QTRY_COMPARE_WITH_TIMEOUT(model.rowCount(), 3, patience_ms);

        // Into a folder that is not there, nothing is made, and it is said.
        page.make_again(model.row(0).id, studio.folder.path() / "nowhere");
        QTRY_COMPARE_WITH_TIMEOUT(answered.size(), 6, patience_ms);
        QVERIFY2(page.words().contains(QStringLiteral("nowhere")), qPrintable(page.words()));
        QVERIFY(!fs::exists(studio.folder.path() / "nowhere"));
    }
};

QTEST_MAIN(PagesTest)
#include "pages_test.moc"
