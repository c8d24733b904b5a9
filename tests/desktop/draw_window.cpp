// SPDX-License-Identifier: Apache-2.0
// The window's places as pictures, of the demo photograph and the demo shops:
//     draw_window DATA PICTURE OUT [WIDTH HEIGHT]
// For docs/make_pictures. DATA is an empty folder; run it with QT_QPA_PLATFORM=offscreen. What it shows was made in it:
// a test sheet, answered; a print in the ledger. Ends with 1 where a place does not come to rest.

#include <QAbstractItemView>
#include <QApplication>
#include <QElapsedTimer>
#include <QPainter>
#include <QPixmap>
#include <QSignalSpy>
#include <QTest>
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <functional>

#include "apps/desktop/bank_card.h"
#include "apps/desktop/bridge.h"
#include "apps/desktop/crop_view.h"
#include "apps/desktop/file_view.h"
#include "apps/desktop/ledger_model.h"
#include "apps/desktop/ledger_page.h"
#include "apps/desktop/main_window.h"
#include "apps/desktop/make_panel.h"
#include "apps/desktop/make_queue.h"
#include "apps/desktop/make_row.h"
#include "apps/desktop/many_prints.h"
#include "apps/desktop/order.h"
#include "apps/desktop/order_sentence.h"
#include "apps/desktop/picture_model.h"
#include "apps/desktop/pictures_page.h"
#include "apps/desktop/print_page.h"
#include "apps/desktop/settings.h"
#include "apps/desktop/sheet_canvas.h"
#include "apps/desktop/sheet_form.h"
#include "apps/desktop/sheet_model.h"
#include "apps/desktop/shop_model.h"
#include "apps/desktop/shops_page.h"
#include "apps/desktop/stage.h"
#include "apps/desktop/style.h"
#include "apps/desktop/tests_page.h"
#include "engine/base/clock.h"
#include "engine/jobs/make.h"
#include "engine/jobs/readings.h"
#include "engine/jobs/shop_editing.h"
#include "engine/jobs/test_sheets.h"

namespace {

namespace fs = std::filesystem;
using namespace hangtrue;
using namespace hangtrue::desktop;

constexpr int patience_ms = 180000;

bool wait_for(const std::function<bool()>& is_so) {
    QElapsedTimer timer;
    timer.start();
    while (!is_so()) {
        if (timer.elapsed() > patience_ms) return false;
        QTest::qWait(20);
    }
    QTest::qWait(200);  // What follows from it, thumbnails and drawings, settles.
    return true;
}

/// A print and a test sheet, as the command line would make them.
void fill(const Workplace& workplace, const fs::path& picture, const fs::path& out) {
    base::Progress progress;
    base::Faults faults;
    const base::Clock clock;
    jobs::Context context{
        workplace.data_folder, workplace.models_folder, workplace.threads, workplace.units, progress, faults, clock};
    jobs::add_missing_shops(demo_shops_folder(), context);
    const auto wish = [](const char* shop, const char* medium, const char* size) {
        plan::Wish result;
        for (const auto& [key, value] : {std::pair{"shop", shop}, std::pair{"medium", medium}, std::pair{"size", size},
                                         std::pair{"enlarge", "filter"}}) {
            jobs::set_wish_word(result, key, value);
        }
        return result;
    };
    fs::create_directories(out);
    for (const auto& [medium, size] : {std::pair{"metal-white", "12x8in"}, std::pair{"lustre-paper", "18x12in"}}) {
        jobs::MakeRequest request;
        request.picture = picture;
        request.wish = wish("quillfen", medium, size);
        request.to = out;
        request.replace = true;
        request.anyway = true;
        jobs::make({request}, context);
    }
    jobs::TestSheetRequest sheet;
    sheet.picture = picture;
    sheet.wish = wish("quillfen", "metal-white", "36x24in");
    sheet.to = out;
    sheet.replace = true;
    const jobs::MadeTestSheet made = jobs::make_test_sheet(sheet, context);
    jobs::AnswerRequest answer;
    answer.sheet = made.kept.sheet.number;
    answer.cell = "E";
    answer.second = "B";
    jobs::take_answer(answer, context);
}

}  // namespace

int main(int argc, char** argv) {
    QApplication application(argc, argv);
    const QStringList words = QApplication::arguments();
    if (words.size() != 4 && words.size() != 6) {
        std::fprintf(stderr, "usage: draw_window DATA PICTURE OUT [WIDTH HEIGHT]\n");
        return 2;
    }
    const fs::path data = words[1].toStdString();
    const fs::path picture = words[2].toStdString();
    const fs::path out = words[3].toStdString();
    fs::create_directories(out);
    StartOptions options = start_options({QStringLiteral("--data"), words[1]});
    if (!fs::exists(data / "ledger.sqlite")) fill(options.workplace, picture, data / "prints");

    const Habits habits(data);
    set_look(application, habits.grey());
    Bridge bridge(options.workplace);
    MainWindow window(bridge, habits);
    if (words.size() == 6) window.resize(words[4].toInt(), words[5].toInt());
    window.show();
    bool is_done = true;
    const auto keep = [&](const QPixmap& seen, const char* name) {
        // A JPEG for what is photograph all over; of a PNG the number would be how little it is compressed.
        const int quality = QString::fromUtf8(name).endsWith(QLatin1String(".jpg")) ? 90 : -1;
        if (seen.save(QString::fromStdString((out / name).string()), nullptr, quality)) return;
        std::fprintf(stderr, "%s cannot be written.\n", name);
        is_done = false;
    };
    const auto save = [&](const char* name) {
        QTest::qWait(100);
        QPixmap seen = window.grab();
        // What is open over the window is a window of its own.
        if (QWidget* popup = QApplication::activePopupWidget()) {
            QPainter(&seen).drawPixmap(window.mapFromGlobal(popup->pos()), popup->grab());
        }
        keep(seen, name);
    };
    const auto place = [&](Place which, const char* name, const std::function<bool()>& is_at_rest) {
        window.go_to(which);
        if (!wait_for(is_at_rest)) {
            std::fprintf(stderr, "%s did not come to rest.\n", name);
            is_done = false;
        }
        save(name);
    };

    place(Place::print, "first-run.png", [] { return true; });
    PrintPage& print = window.print_page();
    print.open_as(picture,
                  {{"shop", "quillfen"}, {"medium", "metal-white"}, {"size", "36x24in"}, {"enlarge", "filter"}});
    place(Place::print, "print-wall.png", [&] { return print.order().settled() && !print.order().image().isNull(); });
    print.sentence().open_part(Part::edges);
    save("print-chooser.png");
    if (QWidget* popup = QApplication::activePopupWidget()) popup->close();
    print.stage().begin_crop();
    print.stage().crop_view().set_crop(print.stage().crop_view().crop().adjusted(700, 400, -500, -400));
    save("print-crop.jpg");
    print.stage().end_crop(false);
    {
        BankCard card(4.2, &window);
        card.show();
        QTest::qWait(100);
        keep(card.grab(), "bank-card.png");
    }
    print.stage().look(Look::true_size);
    place(Place::print, "print-true-size.jpg", [&] { return print.stage().file_view().is_complete(); });
    print.stage().look(Look::dots);
    place(Place::print, "print-dots.png", [&] { return print.stage().file_view().is_complete(); });
    print.stage().look(Look::wall);
    QSignalSpy made(&print.make_panel(), &MakePanel::made);
    print.make_panel().set_folder(QString::fromStdString((data / "prints").string()));
    print.make_panel().make();
    place(Place::print, "print-made.jpg", [&] { return !made.isEmpty(); });
    for (MakeRow* row : print.make_panel().queue().findChildren<MakeRow*>()) emit row->wants_removal();

    // The photographer's others beside it: "NAME_by_PHOTOGRAPHER.jpg", as the wallpapers have it, so that one credit
    // does.
    const std::string name = picture.filename().string();
    const std::string credit = name.substr(std::min(name.find("_by_"), name.size()));
    QStringList beside;
    for (const auto& entry : fs::directory_iterator(picture.parent_path())) {
        const std::string other = entry.path().filename().string();
        if (other == name || (!credit.empty() && other.ends_with(credit))) {
            beside.append(QString::fromStdString(entry.path().string()));
        }
    }
    beside.sort();
    window.pictures_page().add(beside);
    const PictureModel& pictures = window.pictures_page().model();
    place(Place::pictures, "pictures.png", [&] {
        return pictures.rowCount() > 0 && pictures.next_without_thumbnail().isEmpty() &&
               pictures.next_without_detail().isEmpty();
    });
    if (auto* view = window.pictures_page().findChild<QAbstractItemView*>()) view->selectAll();
    if (ManyPrints* prints = window.pictures_page().begin_prints_of_marked()) {
        prints->choose(QStringLiteral("quillfen"), QStringLiteral("lustre-paper"), QStringLiteral("18x12 lustre"));
        prints->set_folder(QStringLiteral("/home/you/Pictures/prints"));
        wait_for([&] { return prints->words_of(0).contains(QLatin1String("Lustre")); });
        is_done = prints->grab().save(QString::fromStdString((out / "several-prints.png").string())) && is_done;
        prints->reject();
    }
    place(Place::shops, "shops.png", [&] { return window.shops_page().model().rowCount() == 2; });
    window.shops_page().mark(QStringLiteral("quillfen"), QStringLiteral("brushed-metal"));
    place(Place::shops, "shop-medium.png", [] { return true; });
    window.shops_page().show_view(ShopsPage::View::questions);
    place(Place::shops, "shop-questions.png", [] { return true; });
    window.shops_page().show_view(ShopsPage::View::letter);
    place(Place::shops, "shop-letter.png", [] { return true; });
    window.shops_page().show_view(ShopsPage::View::file);
    place(Place::shops, "shop-file.png", [] { return true; });
    QSignalSpy stands(&window.tests_page(), &TestsPage::was_shown);
    place(Place::tests, "test-sheets.png", [&] { return !stands.isEmpty(); });
    window.tests_page().canvas().press(QStringLiteral("C"));
    window.tests_page().canvas().press(QStringLiteral("F"));
    place(Place::tests, "test-answer.png", [] { return true; });
    window.tests_page().begin_sheet(words[2]);
    window.tests_page().findChild<SheetForm*>()->set_folder(QStringLiteral("/home/you/Pictures"));
    place(Place::tests, "test-new.png", [] { return true; });
    place(Place::ledger, "ledger.png", [&] { return window.ledger_page().model().rowCount() == 4; });
    window.ledger_page().mark(0);
    place(Place::ledger, "ledger-marked.png", [] { return true; });
    return is_done ? 0 : 1;
}
