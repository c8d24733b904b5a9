// SPDX-License-Identifier: Apache-2.0
#include <QDropEvent>
#include <QElapsedTimer>
#include <QLabel>
#include <QMessageBox>
#include <QMimeData>
#include <QPushButton>
#include <QSignalSpy>
#include <QTest>
#include <QTimer>
#include <QUrl>
#include <fstream>

#include "apps/desktop/before_you_pay.h"
#include "apps/desktop/crop_view.h"
#include "apps/desktop/empty_wall.h"
#include "apps/desktop/file_view.h"
#include "apps/desktop/make_panel.h"
#include "apps/desktop/order.h"
#include "apps/desktop/order_sentence.h"
#include "apps/desktop/part_popup.h"
#include "apps/desktop/print_page.h"
#include "apps/desktop/stage.h"
#include "apps/desktop/wall_view.h"
#include "engine/jobs/verify.h"
#include "engine/ledger/ledger.h"
#include "engine/raster/row_reader.h"
#include "tests/desktop/screens.h"
#include "tests/desktop/small_shop.h"
#include "tests/support/pictures.h"

using namespace hangtrue;
using desktop::Part;
using desktop::PrintPage;
using desktop_test::add_small_shop;
using desktop_test::button_named;
using desktop_test::choice;
using desktop_test::Desk;
using desktop_test::keep_screen;
using desktop_test::long_wait;
using desktop_test::small_picture;

namespace {

/// As files dragged from a folder's window.
void drop(QWidget& onto, const std::vector<std::filesystem::path>& files) {
    QMimeData carried;
    QList<QUrl> urls;
    for (const auto& file : files) urls.append(QUrl::fromLocalFile(QString::fromStdString(file.string())));
    carried.setUrls(urls);
    QDragEnterEvent enters(QPoint(50, 50), Qt::CopyAction, &carried, Qt::LeftButton, Qt::NoModifier);
    QCoreApplication::sendEvent(&onto, &enters);
    QDropEvent event(QPointF(50, 50), Qt::CopyAction, &carried, Qt::LeftButton, Qt::NoModifier);
    QCoreApplication::sendEvent(&onto, &event);
}

}  // namespace

/// Every way of looking and every part of the sentence, for whoever looks at the pictures.
void keep_all_screens(Desk& desk) {
    PrintPage& page = desk.window->print_page();
    page.stage().look(desktop::Look::true_size);
    for (int i = 0; i < 400 && !page.stage().file_view().is_complete(); ++i) QTest::qWait(50);
    keep_screen(*desk.window, QStringLiteral("true-size"));
    page.stage().look(desktop::Look::dots);
    QTest::qWait(1500);
    keep_screen(*desk.window, QStringLiteral("dots"));
    page.stage().file_view().show_state(desktop::FileView::State::printed);
    for (int i = 0; i < 400 && !page.stage().file_view().is_complete(); ++i) QTest::qWait(50);
    keep_screen(*desk.window, QStringLiteral("as-printed"));
    page.stage().file_view().show_state(desktop::FileView::State::as_planned);
    page.stage().begin_crop();
    keep_screen(*desk.window, QStringLiteral("demo-crop"));
    page.stage().end_crop(false);
    page.stage().look(desktop::Look::wall);
    const char* names[] = {"picture", "medium", "shop", "size", "quantity", "edges", "distance"};
    for (int i = 0; i < 7; ++i) {
        page.sentence().open_part(static_cast<Part>(i));
        if (QWidget* popup = QApplication::activePopupWidget()) {
            keep_screen(*popup, QStringLiteral("part-%1").arg(QLatin1String(names[i])));
            popup->close();
            QTest::qWait(10);
        }
    }
    desk.window->resize(1920, 1080);
    keep_screen(*desk.window, QStringLiteral("demo-1920"));
    desk.window->resize(900, 600);
    keep_screen(*desk.window, QStringLiteral("demo-900"));
    desk.window->resize(1280, 800);
    page.stage().wall().set_nearness(0);
    page.stage().wall().set_wall(QStringLiteral("white"));
    keep_screen(*desk.window, QStringLiteral("demo-room"));
    page.stage().wall().set_wall({});
    page.stage().wall().set_nearness(1);
    page.stage().wall().show_places(3);
    keep_screen(*desk.window, QStringLiteral("demo-near"));
    page.stage().wall().show_places(-1);
    page.stage().wall().set_nearness(0.35);
    desktop::set_look(*qApp, desktop::Grey::light);
    keep_screen(*desk.window, QStringLiteral("demo-light"));
    desktop::set_look(*qApp, desktop::Grey::dark);
}

/// The print's page, done as a photographer does it; what counts is on the disk.
class PrintTest : public QObject {
    Q_OBJECT
  private slots:
    void the_demo_is_made_with_three_presses() {
        if (!desktop::demo_picture()) QSKIP("The demo photograph is not installed.");
        Desk desk;
        PrintPage& page = desk.window->print_page();
        keep_screen(*desk.window, QStringLiteral("first-run"));
        page.make_panel().set_folder(QString::fromStdString(desk.prints().string()));
        QPushButton* demo = nullptr;
        for (auto* button : page.findChildren<QPushButton*>()) {
            if (button->text() == QLatin1String("Try the demo")) demo = button;
        }
        QVERIFY(demo != nullptr);
        QTest::mouseClick(demo, Qt::LeftButton);
        QTRY_VERIFY_WITH_TIMEOUT(page.order().has_shape() && !page.order().image().isNull(), long_wait);
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        QVERIFY2(page.order().trouble().isEmpty(), qPrintable(page.order().trouble()));
        QVERIFY(page.sentence().text().contains(QLatin1String("picosdeeuropa")));
        keep_screen(*desk.window, QStringLiteral("demo"));
        if (std::getenv("HANGTRUE_SCREENS") != nullptr) keep_all_screens(desk);
        // The filter alone, so that a sanitized build is done in time; and a small size.
        page.order().set_word(QStringLiteral("enlarging"), "enlarge", QStringLiteral("filter"));
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        QSignalSpy made(&page.make_panel(), &desktop::MakePanel::made);
        page.make_panel().make();
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 1, 300'000);
        const auto outcome = made.front().front().value<jobs::MakeOutcome>();
        QCOMPARE(QString::fromStdString(outcome.sentence), QString());
        keep_screen(*desk.window, QStringLiteral("demo-made"));
        QVERIFY(std::filesystem::is_regular_file(outcome.files.at(0).file));
        QVERIFY(std::filesystem::is_regular_file(outcome.files.at(0).ticket));
        const ledger::Ledger ledger(desk.data() / "ledger.sqlite", ledger::Access::look);
        QVERIFY(ledger.row_of_file(outcome.files.at(0).file).has_value());
        QVERIFY(desk.entered > 3);
        QCOMPARE(desk.entered_by_user.load(), 0);
    }

    void the_sentence_is_edited_in_place() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.order().load_shops();
        page.open({small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().has_shape(), long_wait);
        QVERIFY(page.sentence().text().startsWith(QLatin1String("ridge at dawn on ")));
        page.sentence().open_part(Part::medium);
        QVERIFY(choice(QStringLiteral("Canvas on bars")) != nullptr);
        choice(QStringLiteral("Canvas on bars"))->click();
        QCOMPARE(page.order().word("medium"), QStringLiteral("canvas"));
        QTRY_VERIFY(page.order().has_shape() && page.order().room().depth == 8);
        page.sentence().open_part(Part::edges);
        QVERIFY(choice(QStringLiteral("The picture runs round")) != nullptr);
        choice(QStringLiteral("The picture runs round"))->click();
        QCOMPARE(page.order().word("wrap"), QStringLiteral("round"));
        QVERIFY(page.sentence().text().contains(QLatin1String("runs round the edges")));
        // Each step back, one at a time.
        page.order().undo_stack().undo();
        QCOMPARE(page.order().word("wrap"), QString());
        page.order().undo_stack().undo();
        QCOMPARE(page.order().word("medium"), QStringLiteral("paper"));
        page.order().undo_stack().redo();
        QCOMPARE(page.order().word("medium"), QStringLiteral("canvas"));
        QCOMPARE(desk.entered_by_user.load(), 0);
    }

    void what_cannot_be_met_says_why_and_changes_nothing() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.open({small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        const auto before = page.order().words();
        page.order().set_word(QStringLiteral("distance"), "distance", QStringLiteral("far away"));
        QVERIFY(page.order().trouble().contains(QLatin1String("far away")));
        QCOMPARE(page.order().words(), before);
        // Said rightly, but no such size is sold.
        page.order().set_words(QStringLiteral("size"), {{"shop", "test"}, {"medium", "canvas"}, {"size", "50x40in"}});
        QTRY_VERIFY(page.order().trouble().contains(QLatin1String("Canvas on bars")));
    }

    void a_wish_outlives_the_window() {
        Desk desk;
        add_small_shop(desk);
        const auto picture = small_picture(desk);
        {
            PrintPage& page = desk.window->print_page();
            page.open({picture});
            QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
            page.order().set_word(QStringLiteral("distance"), "distance", QStringLiteral("3m"));
            // Not told to: within five seconds by itself.
            const auto wishes = desk.data() / "wishes";
            QTRY_VERIFY_WITH_TIMEOUT(std::filesystem::exists(wishes) && !std::filesystem::is_empty(wishes), 5000);
        }
        desk.window = std::make_unique<desktop::MainWindow>(*desk.bridge, desktop::Habits(desk.data()));
        const auto moved = desk.folder.path() / "renamed.tif";
        std::filesystem::rename(picture, moved);
        desk.window->print_page().open({moved});
        QTRY_COMPARE_WITH_TIMEOUT(desk.window->print_page().order().word("distance"), QStringLiteral("3m"), long_wait);
    }

    void a_record_hung_again_leaves_the_kept_wish_a_step_back() {
        Desk desk;
        add_small_shop(desk);
        const auto picture = small_picture(desk);
        desktop::Order& order = desk.window->print_page().order();
        desk.window->print_page().open({picture});
        QTRY_VERIFY_WITH_TIMEOUT(order.settled() != nullptr, long_wait);
        order.set_word(QStringLiteral("distance"), "distance", QStringLiteral("3m"));
        const auto wishes = desk.data() / "wishes";
        QTRY_VERIFY_WITH_TIMEOUT(std::filesystem::exists(wishes) && !std::filesystem::is_empty(wishes), long_wait);
        const jobs::WishWords kept = order.words();
        jobs::WishWords record = kept;
        record["distance"] = "5m";
        desk.window->print_page().open_as(picture, record);
        QTRY_COMPARE_WITH_TIMEOUT(order.undo_stack().count(), 1, long_wait);
        QCOMPARE(order.words(), record);
        order.undo_stack().undo();
        QCOMPARE(order.words(), kept);
        order.undo_stack().redo();
        QCOMPARE(order.words(), record);

        // Only looked at, nothing is kept of it; changed while the picture is still read, both steps are there.
        order.undo_stack().undo();
        desk.window->print_page().open_as(picture, record);
        QTRY_COMPARE_WITH_TIMEOUT(order.undo_stack().count(), 1, long_wait);
        desk.window->print_page().open_as(picture, record);
        order.set_word(QStringLiteral("copies"), "quantity", QStringLiteral("2"));
        QTRY_COMPARE_WITH_TIMEOUT(order.undo_stack().count(), 2, long_wait);
        order.undo_stack().undo();
        QCOMPARE(order.words(), record);
        order.undo_stack().undo();
        QCOMPARE(order.words(), kept);
    }

    void dot_for_dot_is_what_the_made_file_holds() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.make_panel().set_folder(QString::fromStdString(desk.prints().string()));
        page.open({small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        // 8 bits, so that the screen's bytes can be the file's own.
        page.order().set_word(QStringLiteral("bits"), "bits", QStringLiteral("8"));
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        page.stage().look(desktop::Look::dots);
        desktop::FileView& view = page.stage().file_view();
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        QSignalSpy made(&page.make_panel(), &desktop::MakePanel::made);
        page.make_panel().make();
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 1, long_wait);
        const auto outcome = made.front().front().value<jobs::MakeOutcome>();
        QCOMPARE(QString::fromStdString(outcome.sentence), QString());
        base::Progress progress;
        base::Faults faults;
        const auto reader = raster::open_picture(outcome.files.at(0).file, {desk.folder.path(), faults}, progress);
        const base::PixelSize size = reader->info().size;
        QCOMPARE(reader->info().bits, 8);
        std::vector<std::byte> row(reader->info().bytes_per_row());
        int compared = 0;
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        const QImage screen = view.grab().toImage();
        const double dpr = view.devicePixelRatioF();
        for (int y = 0; y < size.height; ++y) {
            reader->read_rows(y, 1, row, progress);
            for (int x = 0; x < size.width; ++x) {
                const auto at = [&](int c) { return std::to_integer<int>(row[static_cast<std::size_t>(3 * x + c)]); };
                const auto pixel = view.pixel_at(x, y);
                QVERIFY(pixel.has_value());
                QCOMPARE(*pixel, qRgb(at(0), at(1), at(2)));
                // And on the screen itself, where it is seen.
                const QPoint on_screen(x - static_cast<int>(std::floor(view.centre().x() - view.width() * dpr / 2)),
                                       y - static_cast<int>(std::floor(view.centre().y() - view.height() * dpr / 2)));
                if (!screen.rect().adjusted(4, 4, -4, -60).contains(on_screen)) continue;
                QCOMPARE(screen.pixel(on_screen), qRgb(at(0), at(1), at(2)));
                ++compared;
            }
        }
        QVERIFY(compared > 1000);
    }

    void until_a_network_is_done_what_the_filter_makes_stands_there() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.open({small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        page.order().set_word(QStringLiteral("size"), "size", QStringLiteral("48x32in"));
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        QVERIFY(page.order().settled()->plans.front().network.doublings > 0);
        page.stage().look(desktop::Look::dots);
        desktop::FileView& view = page.stage().file_view();
        // Answers come one at a time, and the first of each block is the filter's.
        bool stood_there = false;
        QElapsedTimer clock;
        clock.start();
        while (!view.is_complete() && clock.elapsed() < long_wait) {
            QTest::qWait(1);
            stood_there = stood_there || view.first_sights() > 0;
        }
        QVERIFY(view.is_complete());
        QVERIFY(stood_there);
        QCOMPARE(view.first_sights(), 0);
    }

    void holding_a_key_swaps_the_unsharpened_print_in() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        const auto file = desk.folder.path() / "noise.tif";
        support::write_tiff(file, support::noise({900, 600}, 3, 8, 4), {});
        page.open({file});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        QVERIFY(page.order().settled()->plans.front().sharpening.largest_gain > 1);
        page.stage().look(desktop::Look::dots);
        desktop::FileView& view = page.stage().file_view();
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        const auto planned = view.pixel_at(50, 50);
        QTest::keyPress(&view, Qt::Key_S);
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete() && view.shown() == desktop::FileView::State::unsharpened,
                                 long_wait);
        QVERIFY(view.scale_words().contains(QLatin1String("WITHOUT SHARPENING")));
        int differ = 0;
        std::vector<std::optional<QRgb>> other;
        for (int i = 0; i < 40; ++i) other.push_back(view.pixel_at(40 + i, 50));
        QTest::keyRelease(&view, Qt::Key_S);
        for (int i = 0; i < 40; ++i) differ += view.pixel_at(40 + i, 50) != other[static_cast<std::size_t>(i)];
        QVERIFY(differ > 0);
        QCOMPARE(view.pixel_at(50, 50), planned);
    }

    void the_crop_is_chosen_on_the_picture() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.open({small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().has_shape(), long_wait);
        page.stage().begin_crop();
        desktop::CropView& crop = page.stage().crop_view();
        const double shape = crop.crop().width() / crop.crop().height();
        QTest::keyClick(&crop, Qt::Key_Minus, Qt::ShiftModifier);
        QTest::keyClick(&crop, Qt::Key_Right);
        keep_screen(*desk.window, QStringLiteral("crop"));
        const QRectF wanted = crop.crop();
        QVERIFY(std::abs(wanted.width() / wanted.height() - shape) < 1e-9);
        QTest::keyClick(&crop, Qt::Key_Return);
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        const jobs::HungPanel& panel = page.order().room().panels.at(0);
        // The plan fits the crop to the grid's shape about its middle: within a pixel of the file.
        QVERIFY(std::abs(panel.shown.x + panel.shown.width / 2 - wanted.center().x()) < 1);
        QVERIFY(std::abs(panel.shown.width - wanted.width()) < 10);
        page.order().undo_stack().undo();
        QCOMPARE(page.order().word("crop"), QString());
    }

    void cancelling_leaves_nothing_behind() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.make_panel().set_folder(QString::fromStdString(desk.prints().string()));
        const auto file = desk.folder.path() / "large.tif";
        support::write_tiff(file, support::gradient({2400, 1600}, 3, 16), {});
        page.open({file});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        page.order().set_words(
            QStringLiteral("size"),
            {{"shop", "test"}, {"medium", "paper"}, {"size", "60x39in"}, {"ppi", "300"}, {"enlarge", "filter"}});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        QSignalSpy made(&page.make_panel(), &desktop::MakePanel::made);
        page.make_panel().make();
        QVERIFY(desk.bridge->is_making());
        QTest::qWait(150);
        for (auto* button : page.make_panel().findChildren<QPushButton*>()) {
            if (button->text() == QLatin1String("Cancel")) button->click();
        }
        QTRY_VERIFY_WITH_TIMEOUT(!desk.bridge->is_making(), 5000);
        QTRY_COMPARE(made.count(), 1);
        QCOMPARE(made.front().front().value<jobs::MakeOutcome>().ending, jobs::Ending::cancelled);
        QVERIFY(std::filesystem::is_empty(desk.prints()));
    }

    void pictures_opened_together_are_made_with_one_order() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.make_panel().set_folder(QString::fromStdString(desk.prints().string()));
        drop(page, {small_picture(desk, "one.tif"), small_picture(desk, "two.tif"), small_picture(desk, "three.tif")});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        QPushButton* all = button_named(page, QStringLiteral("Make all 3 pictures so"));
        QVERIFY(all != nullptr && all->isVisible());
        QSignalSpy made(&page.make_panel(), &desktop::MakePanel::made);
        all->click();
        keep_screen(*desk.window, QStringLiteral("queue"));
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 3, long_wait);
        QTRY_VERIFY_WITH_TIMEOUT(!desk.bridge->is_making(), long_wait);
        int prints = 0, order_sheets = 0;
        for (const auto& entry : std::filesystem::directory_iterator(desk.prints())) {
            prints += entry.path().extension() == ".tif";
            order_sheets += entry.path().filename().string().starts_with("order ");
        }
        QCOMPARE(prints, 3);
        QCOMPARE(order_sheets, 1);
        // Once more: the names are taken, and that is told with its way out.
        page.make_panel().make();
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 4, long_wait);
        QPushButton* replace = button_named(page, QStringLiteral("Replace it"));
        QVERIFY(replace != nullptr);
        replace->click();
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 5, long_wait);
        QCOMPARE(made.back().front().value<jobs::MakeOutcome>().ending, jobs::Ending::done);
        const ledger::Ledger ledger(desk.data() / "ledger.sqlite", ledger::Access::look);
        QCOMPARE(ledger.rows({}, 100).size(), std::size_t{4});
    }

    void a_finding_is_answered_with_one_click() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.open({small_picture(desk)});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        page.order().set_words(QStringLiteral("edges"),
                               {{"shop", "test"}, {"medium", "canvas"}, {"size", "3x2in"}, {"wrap", "round"}});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().are_findings_whole(), long_wait);
        QPushButton* mirror = button_named(page, QStringLiteral("Mirror the edges instead"));
        QVERIFY(mirror != nullptr);
        mirror->click();
        QCOMPARE(page.order().word("wrap"), QStringLiteral("mirror"));
        QTRY_VERIFY_WITH_TIMEOUT(page.order().are_findings_whole(), long_wait);
        for (const checks::Finding& finding : page.order().findings()) QVERIFY(finding.name != "wrapped-round");
    }

    void closing_while_making_asks() {
        Desk desk;
        add_small_shop(desk);
        PrintPage& page = desk.window->print_page();
        page.make_panel().set_folder(QString::fromStdString(desk.prints().string()));
        const auto file = desk.folder.path() / "large.tif";
        support::write_tiff(file, support::gradient({2400, 1600}, 3, 16), {});
        page.open({file});
        QTRY_VERIFY_WITH_TIMEOUT(page.order().settled() != nullptr, long_wait);
        page.order().set_words(
            QStringLiteral("size"),
            {{"shop", "test"}, {"medium", "paper"}, {"size", "60x39in"}, {"ppi", "300"}, {"enlarge", "filter"}});
        page.make_panel().make();
        QString asked;
        QTimer::singleShot(50, qApp, [&] {
            auto* box = qobject_cast<QMessageBox*>(QApplication::activeModalWidget());
            if (box == nullptr) return;
            asked = box->text();
            box->defaultButton()->click();
        });
        QVERIFY(!desk.window->close());
        QVERIFY(asked.contains(QLatin1String("still being made")));
        QVERIFY(desk.bridge->is_making());
    }

    void a_file_that_is_no_picture_is_told_on_the_empty_wall() {
        Desk desk;
        PrintPage& page = desk.window->print_page();
        const auto file = desk.folder.path() / "notes.tif";
        std::ofstream(file) << "no picture at all";
        page.open({file});
        QTRY_VERIFY(page.order().trouble().contains(QLatin1String("notes.tif")));
        QVERIFY(!page.order().has_picture());
        QVERIFY(page.findChild<desktop::EmptyWall*>()->isVisible());
    }
};

QTEST_MAIN(PrintTest)
#include "print_test.moc"
