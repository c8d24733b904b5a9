// SPDX-License-Identifier: Apache-2.0
// The print's page by keys alone, and what hands do to it: where the focus goes, what is taken and what is not.

#include <QAccessible>
#include <QDesktopServices>
#include <QLabel>
#include <QLineEdit>
#include <QSignalSpy>
#include <QSpinBox>
#include <QTest>
#include <set>

#include "apps/desktop/before_you_pay.h"
#include "apps/desktop/enlarge_dialog.h"
#include "apps/desktop/file_view.h"
#include "apps/desktop/make_panel.h"
#include "apps/desktop/order.h"
#include "apps/desktop/order_sentence.h"
#include "apps/desktop/print_page.h"
#include "apps/desktop/size_frames.h"
#include "apps/desktop/stage.h"
#include "apps/desktop/wall_view.h"
#include "engine/raster/row_reader.h"
#include "tests/desktop/small_shop.h"

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

/// A desk with the small picture hung and settled.
struct Hung : Desk {
    Hung() {
        add_small_shop(*this);
        page.order().load_shops();
        page.make_panel().set_folder(QString::fromStdString(prints().string()));
        page.open({small_picture(*this)});
        window->activateWindow();
    }
    bool is_settled() const { return page.order().settled() != nullptr; }
    bool is_looked_over() const { return page.order().are_findings_whole(); }
    PrintPage& page = window->print_page();
};

template <typename Widget>
Widget* in_popup(const QString& name) {
    QWidget* popup = QApplication::activePopupWidget();
    if (popup == nullptr) return nullptr;
    for (auto* found : popup->findChildren<Widget*>()) {
        if (found->accessibleName() == name) return found;
    }
    return nullptr;
}

/// Takes what would be opened with another program.
class Opener : public QObject {
    Q_OBJECT
  public:
    Opener() { QDesktopServices::setUrlHandler(QStringLiteral("file"), this, "take"); }
    ~Opener() override { QDesktopServices::unsetUrlHandler(QStringLiteral("file")); }
    int opened = 0;
  public slots:
    void take(const QUrl&) { ++opened; }
};

}  // namespace

class HandsTest : public QObject {
    Q_OBJECT
  private slots:
    void sizes_are_walked_with_arrows_and_taken_with_return() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        auto* frames = desk.page.findChild<desktop::FrameDrawing*>();
        QVERIFY(frames != nullptr && frames->focusPolicy() == Qt::StrongFocus);
        const auto& rows = desk.page.order().sizes()->rows;
        QVERIFY(rows.size() > 4);
        desk.page.order().set_word(QStringLiteral("size"), "size",
                                   QString::fromStdString(jobs::size_word(rows[1].size)));
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        frames->setFocus();
        QCOMPARE(frames->lit_row(), -1);
        QAccessibleInterface* spoken = QAccessible::queryAccessibleInterface(frames);
        QVERIFY(spoken != nullptr);
        QVERIFY(!spoken->text(QAccessible::Name).isEmpty());
        const QString before = spoken->text(QAccessible::Value);
        QTest::keyClick(frames, Qt::Key_Right);
        QCOMPARE(frames->lit_row(), 2);
        // What is read aloud is the size with its verdict.
        QVERIFY(spoken->text(QAccessible::Value) != before);
        QVERIFY(spoken->text(QAccessible::Value).contains(QLatin1String("the picture brings")));
        QTest::keyClick(frames, Qt::Key_Escape);
        QCOMPARE(frames->lit_row(), -1);
        QTest::keyClick(frames, Qt::Key_End);
        QCOMPARE(frames->lit_row(), static_cast<int>(rows.size()) - 1);
        QTest::keyClick(frames, Qt::Key_Home);
        const QString smallest = QString::fromStdString(jobs::size_word(rows[0].size));
        QTest::keyClick(frames, Qt::Key_Return);
        QCOMPARE(desk.page.order().word("size"), smallest);
    }

    void each_size_is_named_and_no_names_overlap() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        auto* frames = desk.page.findChild<desktop::FrameDrawing*>();
        const int count = static_cast<int>(desk.page.order().sizes()->rows.size());
        for (int i = 0; i < count; ++i) {
            const QRectF name = frames->label(i);
            QVERIFY(QRectF(frames->rect()).contains(name));
            for (int k = 0; k < count; ++k) {
                QVERIFY(!frames->frame(k).intersects(name));
                if (k != i) QVERIFY(!frames->label(k).adjusted(0, 0.1, 0, -0.1).intersects(name));
            }
        }
        keep_screen(*desk.window, QStringLiteral("sizes"));
        // A click on a name takes its size.
        QTest::mouseClick(frames, Qt::LeftButton, {}, frames->label(0).center().toPoint());
        QCOMPARE(desk.page.order().word("size"),
                 QString::fromStdString(jobs::size_word(desk.page.order().sizes()->rows[0].size)));
    }

    void escape_takes_nothing_of_what_was_typed_and_the_focus_goes_back() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        const auto before = desk.page.order().words();
        desk.page.sentence().open_part(Part::distance);
        auto* line = in_popup<QLineEdit>(QStringLiteral("Another distance"));
        QVERIFY(line != nullptr);
        line->setFocus();
        QTest::keyClicks(line, QStringLiteral("7m"));
        QTest::keyClick(line, Qt::Key_Escape);
        QTRY_VERIFY(QApplication::activePopupWidget() == nullptr);
        QTest::qWait(20);
        QCOMPARE(desk.page.order().words(), before);
        QCOMPARE(desk.window->focusWidget(), desk.page.sentence().button(Part::distance));
        desk.page.sentence().open_part(Part::quantity);
        auto* count = in_popup<QSpinBox>(QStringLiteral("How many"));
        QVERIFY(count != nullptr);
        count->setFocus();
        count->selectAll();
        QTest::keyClicks(count, QStringLiteral("12"));
        QTest::keyClick(count, Qt::Key_Escape);
        QTRY_VERIFY(QApplication::activePopupWidget() == nullptr);
        QTest::qWait(20);
        QCOMPARE(desk.page.order().words(), before);
        QCOMPARE(desk.window->focusWidget(), desk.page.sentence().button(Part::quantity));
        // Return takes it.
        desk.page.sentence().open_part(Part::distance);
        line = in_popup<QLineEdit>(QStringLiteral("Another distance"));
        line->setFocus();
        QTest::keyClicks(line, QStringLiteral("7m"));
        QTest::keyClick(line, Qt::Key_Return);
        QCOMPARE(desk.page.order().word("distance"), QStringLiteral("7m"));
        QApplication::activePopupWidget()->close();
        QCOMPARE(desk.window->focusWidget(), desk.page.sentence().button(Part::distance));
    }

    void tab_goes_down_through_a_popup() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        for (const Part part : {Part::picture, Part::medium, Part::size, Part::quantity, Part::edges, Part::distance}) {
            desk.page.sentence().open_part(part);
            auto* popup = QApplication::activePopupWidget();
            QVERIFY(popup != nullptr);
            QWidget* first = popup->focusWidget();
            QVERIFY(first != nullptr);
            std::set<QWidget*> seen{first};
            int turns = 0, last = first->mapTo(popup, QPoint(0, 0)).y() + popup->y();
            // Places in the popup's content, whatever is scrolled.
            const auto place = [&](QWidget* widget) {
                QWidget* content = widget;
                while (content->parentWidget()->objectName() != QLatin1String("qt_scrollarea_viewport")) {
                    content = content->parentWidget();
                }
                return widget->mapTo(content, QPoint(0, 0)).y();
            };
            last = place(first);
            for (int i = 0; i < 60; ++i) {
                QTest::keyClick(popup->focusWidget(), Qt::Key_Tab);
                QWidget* now = popup->focusWidget();
                turns += place(now) < last;
                last = place(now);
                if (!seen.insert(now).second) break;
            }
            QVERIFY2(turns <= 1, qPrintable(QString::number(static_cast<int>(part))));
            QVERIFY(seen.contains(popup->focusWidget()));
            QTest::keyClick(popup, Qt::Key_Escape);
            QTest::qWait(10);
        }
    }

    void the_focus_stays_on_a_finding_while_the_print_is_looked_at_anew() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_looked_over(), long_wait);
        auto* list = desk.page.findChild<desktop::BeforeYouPay*>();
        QVERIFY(desk.page.order().findings().size() >= 2);
        const std::string name = desk.page.order().findings()[1].name;
        list->show_finding(1);
        QTRY_VERIFY(QApplication::focusWidget() != nullptr &&
                    QApplication::focusWidget()->objectName() == QString::fromStdString(name));
        desk.page.order().set_word(QStringLiteral("quantity"), "quantity", QStringLiteral("3"));
        QCOMPARE(QApplication::focusWidget(), static_cast<QWidget*>(list));
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_looked_over(), long_wait);
        QTRY_COMPARE(QApplication::focusWidget()->objectName(), QString::fromStdString(name));
        // It is seen where the focus is.
        const QWidget* row = QApplication::focusWidget();
        QVERIFY(const_cast<QWidget*>(row)->grab().toImage().pixelColor(0, 0) == desktop::tones().ink);
        // In a low window it is scrolled to, and stays in sight.
        desk.window->resize(900, 600);
        list->show_finding(1);
        QTRY_VERIFY(!QApplication::focusWidget()->visibleRegion().isEmpty());
        desk.page.order().set_word(QStringLiteral("quantity"), "quantity", QStringLiteral("5"));
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_looked_over(), long_wait);
        QTRY_VERIFY(QApplication::focusWidget()->objectName() == QString::fromStdString(name) &&
                    !QApplication::focusWidget()->visibleRegion().isEmpty());
        // Where the user went elsewhere meanwhile, it stays there.
        desk.page.order().set_word(QStringLiteral("quantity"), "quantity", QStringLiteral("4"));
        desk.page.stage().wall().setFocus();
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_looked_over(), long_wait);
        QTest::qWait(50);
        QCOMPARE(QApplication::focusWidget(), static_cast<QWidget*>(&desk.page.stage().wall()));
    }

    void a_way_out_that_was_taken_gives_the_focus_to_the_next_finding() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        desk.page.order().set_words(QStringLiteral("edges"),
                                    {{"shop", "test"}, {"medium", "canvas"}, {"size", "3x2in"}, {"wrap", "round"}});
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_looked_over(), long_wait);
        QPushButton* mirror = button_named(desk.page, QStringLiteral("Mirror the edges instead"));
        QVERIFY(mirror != nullptr);
        mirror->setFocus();
        QTest::keyClick(mirror, Qt::Key_Space);
        QCOMPARE(desk.page.order().word("wrap"), QStringLiteral("mirror"));
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_looked_over(), long_wait);
        auto* list = desk.page.findChild<desktop::BeforeYouPay*>();
        // To a finding: the list itself only holds the focus meanwhile.
        QTRY_VERIFY(QApplication::focusWidget() != list && list->isAncestorOf(QApplication::focusWidget()));
    }

    void a_hand_that_trembles_clicks_a_made_file_and_drags_nothing() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        QSignalSpy made(&desk.page.make_panel(), &desktop::MakePanel::made);
        desk.page.make_panel().make();
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 1, long_wait);
        const auto outcome = made.front().front().value<jobs::MakeOutcome>();
        QCOMPARE(QString::fromStdString(outcome.sentence), QString());
        QPushButton* file = nullptr;
        for (auto* button : desk.page.make_panel().findChildren<QPushButton*>()) {
            if (button->toolTip().contains(QLatin1String("Drag it"))) file = button;
        }
        QVERIFY(file != nullptr);
        Opener opener;
        QTest::mousePress(file, Qt::LeftButton, {}, QPoint(20, 8));
        // With the button held: QTest's own mouseMove holds none.
        QMouseEvent move(QEvent::MouseMove, QPointF(22, 9), file->mapToGlobal(QPointF(22, 9)), Qt::NoButton,
                         Qt::LeftButton, Qt::NoModifier);
        QCoreApplication::sendEvent(file, &move);
        QTest::mouseRelease(file, Qt::LeftButton, {}, QPoint(22, 9));
        QCOMPARE(opener.opened, 1);
    }

    void hatching_is_switched_with_a_key_and_said() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        desk.page.stage().look(desktop::Look::dots);
        desktop::FileView& view = desk.page.stage().file_view();
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        QPushButton* hatching = button_named(desk.page, QStringLiteral("Hatching"));
        QVERIFY(hatching != nullptr && hatching->toolTip().contains(QLatin1String("(H)")));
        QVERIFY(!view.is_hatched());
        QTest::keyClick(desk.window.get(), Qt::Key_H);
        QTRY_VERIFY(view.is_hatched());
        QTest::keyPress(&view, Qt::Key_P);
        // This shop gave no profile, so that nothing can be hatched; it is said.
        QTRY_VERIFY_WITH_TIMEOUT(view.scale_words().contains(QLatin1String("Nothing is hatched")), long_wait);
        QTest::keyRelease(&view, Qt::Key_P);
        QTest::keyClick(desk.window.get(), Qt::Key_H);
        QTRY_VERIFY(!view.is_hatched());
        QTest::keyPress(&view, Qt::Key_P);
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        QVERIFY(!view.scale_words().contains(QLatin1String("hatched")));
        QTest::keyRelease(&view, Qt::Key_P);
    }

    void hatching_shows_on_the_screen_where_the_shop_gave_a_profile() {
        Hung desk;
        // A printer without colour (Debian's icc-profiles-free).
        support::ShopMedium grey = support::plain_paper("grey");
        grey.more = "print_profile = \"grey.icc\"\n";
        std::ofstream(desk.data() / "shops/press.toml") << support::shop_text("Grey Press", "", {grey});
        std::filesystem::copy_file("/usr/share/color/icc/Gray.icc", desk.data() / "shops/grey.icc");
        desk.page.order().load_shops();
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        desk.page.order().set_words(QStringLiteral("shop"), {{"shop", "press"}, {"medium", "grey"}, {"size", "3x2in"}});
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        desk.page.stage().look(desktop::Look::dots);
        desktop::FileView& view = desk.page.stage().file_view();
        view.show_state(desktop::FileView::State::printed);
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        std::vector<std::optional<QRgb>> plain;
        for (int x = 0; x < 180; ++x) plain.push_back(view.pixel_at(x, 60));
        view.set_hatched(true);
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        int hatched = 0;
        for (int x = 0; x < 180; ++x) hatched += view.pixel_at(x, 60) != plain[static_cast<std::size_t>(x)];
        QVERIFY2(hatched > 10 && hatched < 60, qPrintable(QString::number(hatched)));  // Two pixels in eight.
        QVERIFY(view.scale_words().contains(QLatin1String("Hatched: colours")));
        view.set_hatched(false);
        QTRY_VERIFY_WITH_TIMEOUT(view.is_complete(), long_wait);
        for (int x = 0; x < 180; ++x) QCOMPARE(view.pixel_at(x, 60), plain[static_cast<std::size_t>(x)]);
    }

    void the_wall_is_drawn_in_the_rooms_light_and_says_so() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        desktop::WallView& wall = desk.page.stage().wall();
        const auto grey = [](const QImage& image, QPointF at) { return qGray(image.pixel(at.toPoint())); };
        const auto middle = [&] { return wall.print_rect().center(); };
        QImage before = wall.grab().toImage();
        QVERIFY(wall.scale_words().contains(QLatin1String("as bright as this screen")));
        wall.set_light(QStringLiteral("living-room"));
        QTRY_VERIFY(wall.scale_words().contains(QLatin1String("80 lux")));
        const QImage dim = wall.grab().toImage();
        QVERIFY(grey(dim, middle()) < grey(before, middle()) - 10);
        QVERIFY(grey(dim, QPointF(8, 8)) < grey(before, QPointF(8, 8)) - 10);
        keep_screen(*desk.window, QStringLiteral("room-light"));
        // No such light: said, and nothing is dimmed.
        wall.set_light(QStringLiteral("5000000"));
        QTRY_VERIFY(wall.scale_words().contains(QLatin1String("Light on a print is")) ||
                    wall.scale_words().contains(QLatin1String("lux from")));
        // What the order is made for is shown where nothing else is asked for; its tones too.
        wall.set_light({});
        QTRY_VERIFY(wall.scale_words().contains(QLatin1String("as bright as this screen")));
        desk.page.order().set_word(QStringLiteral("light"), "light", QStringLiteral("living-room"));
        QTRY_VERIFY(wall.scale_words().contains(QLatin1String("tones are changed")));
        QVERIFY(grey(wall.grab().toImage(), middle()) > grey(dim, middle()));
        QCOMPARE(desk.entered_by_user.load(), 0);
    }

    void a_light_meters_figure_is_shown_and_kept_and_what_is_none_is_told() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        const auto type = [&](const QString& text) {
            button_named(desk.page, QStringLiteral("The room …"))->click();
            QLineEdit* line = nullptr;
            for (auto* found : QApplication::activePopupWidget()->findChildren<QLineEdit*>()) {
                if (found->placeholderText() == QLatin1String("140 lux")) line = found;
            }
            line->selectAll();
            QTest::keyClicks(line, text);
            QTest::keyClick(line, Qt::Key_Return);
            if (QWidget* popup = QApplication::activePopupWidget()) popup->close();
        };
        const desktop::WallView& wall = desk.page.stage().wall();
        type(QStringLiteral("90 Lux"));
        QTRY_VERIFY(wall.scale_words().contains(QLatin1String("90 lux")));
        type(QStringLiteral("by the window"));
        QTRY_VERIFY2(wall.scale_words().contains(QLatin1String("lux from 1 to 100000")),
                     qPrintable(wall.scale_words()));
        type(QStringLiteral("9000000 lux"));
        QTRY_VERIFY(wall.scale_words().contains(QLatin1String("9000000")));
        // The figure that was understood is what the line shows the next time.
        button_named(desk.page, QStringLiteral("The room …"))->click();
        bool is_kept = false;
        for (auto* found : QApplication::activePopupWidget()->findChildren<QLineEdit*>()) {
            is_kept |= found->text() == QLatin1String("90");
        }
        QVERIFY(is_kept);
        QApplication::activePopupWidget()->close();
    }

    void the_findings_are_kept_as_a_page_and_a_picture_is_only_enlarged() {
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_settled(), long_wait);
        std::filesystem::create_directories(desk.prints());
        desktop::MakePanel& panel = desk.page.make_panel();
        QSignalSpy made(&panel, &desktop::MakePanel::file_made);
        const auto pdf = desk.prints() / "findings.pdf";
        panel.keep_findings(pdf);
        QVERIFY(desk.bridge->is_making());
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 1, long_wait);
        QCOMPARE(made.back().front().value<jobs::Ending>(), jobs::Ending::done);
        std::ifstream page(pdf, std::ios::binary);
        std::string begins(5, ' ');
        page.read(begins.data(), 5);
        QCOMPARE(QString::fromStdString(begins), QStringLiteral("%PDF-"));
        jobs::EnlargeRequest request;
        request.in = desk.page.order().path();
        request.out = desk.prints() / "larger.tif";
        request.factor = 1.5;
        request.by = plan::Enlarging::filter;
        panel.enlarge(request);
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 2, long_wait);
        QCOMPARE(made.back().front().value<jobs::Ending>(), jobs::Ending::done);
        base::Progress progress;
        base::Faults faults;
        const auto size = raster::open_picture(request.out, {desk.folder.path(), faults}, progress)->info().size;
        QCOMPARE(size.width, 1350);
        QCOMPARE(size.height, 900);
        // The name is taken: said, with its way out; one that is stopped leaves nothing.
        panel.enlarge(request);
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 3, long_wait);
        QCOMPARE(made.back().front().value<jobs::Ending>(), jobs::Ending::unwritable);
        QTRY_VERIFY(button_named(panel, QStringLiteral("Replace it")) != nullptr);
        button_named(panel, QStringLiteral("Replace it"))->click();
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 4, long_wait);
        QCOMPARE(made.back().front().value<jobs::Ending>(), jobs::Ending::done);
        request.out = desk.prints() / "stopped.tif";
        request.factor = 8;
        panel.enlarge(request);
        QTRY_VERIFY(button_named(panel, QStringLiteral("Cancel")) != nullptr);
        button_named(panel, QStringLiteral("Cancel"))->click();
        QTRY_COMPARE_WITH_TIMEOUT(made.count(), 5, long_wait);
        QCOMPARE(made.back().front().value<jobs::Ending>(), jobs::Ending::cancelled);
        QVERIFY(!std::filesystem::exists(request.out));
        QCOMPARE(desk.entered_by_user.load(), 0);
    }

    /// For whoever looks at the pictures.
    void screens_are_kept_where_they_are_asked_for() {
        if (std::getenv("HANGTRUE_SCREENS") == nullptr) QSKIP("HANGTRUE_SCREENS=FOLDER keeps them.");
        Hung desk;
        QTRY_VERIFY_WITH_TIMEOUT(desk.is_looked_over(), long_wait);
        for (const auto grey : {desktop::Grey::dark, desktop::Grey::light}) {
            const QString ending = grey == desktop::Grey::light ? QStringLiteral("-light") : QString();
            desktop::set_look(*qApp, grey);
            desk.page.findChild<desktop::FrameDrawing*>()->setFocus();
            QTest::keyClick(desk.page.findChild<desktop::FrameDrawing*>(), Qt::Key_Up);
            keep_screen(*desk.window, QStringLiteral("frames") + ending);
            desk.page.stage().look(desktop::Look::wall);
            button_named(desk.page, QStringLiteral("The room …"))->click();
            if (QWidget* popup = QApplication::activePopupWidget()) {
                keep_screen(*popup, QStringLiteral("room") + ending);
                popup->close();
            }
            desk.page.sentence().open_part(Part::picture);
            if (QWidget* popup = QApplication::activePopupWidget()) {
                keep_screen(*popup, QStringLiteral("picture") + ending);
                popup->close();
            }
            desktop::EnlargeDialog dialog(desk.page.order().path(), desk.page.make_panel().folder(), desk.window.get());
            dialog.show();
            keep_screen(dialog, QStringLiteral("enlarge") + ending);
            desk.page.stage().look(desktop::Look::dots);
            QTRY_VERIFY_WITH_TIMEOUT(desk.page.stage().file_view().is_complete(), long_wait);
            desk.window->resize(900, 600);
            desk.page.findChild<desktop::BeforeYouPay*>()->show_finding(2);
            keep_screen(*desk.window, QStringLiteral("small") + ending);
            desk.window->resize(1280, 800);
        }
        desktop::set_look(*qApp, desktop::Grey::dark);
    }
};

QTEST_MAIN(HandsTest)
#include "hands_test.moc"
