// SPDX-License-Identifier: Apache-2.0
// Long names, a broken shop, two hundred pictures: pages stay as large as the window, nothing is cut off and nothing
// lies over something else.

#include <QLabel>
#include <QLayout>
#include <QPushButton>
#include <QScrollArea>
#include <QSignalSpy>
#include <QTest>

#include "apps/desktop/ledger_model.h"
#include "apps/desktop/ledger_page.h"
#include "apps/desktop/picture_model.h"
#include "apps/desktop/pictures_page.h"
#include "apps/desktop/shop_model.h"
#include "apps/desktop/shops_page.h"
#include "apps/desktop/tests_page.h"
#include "engine/jobs/make.h"
#include "engine/jobs/test_sheets.h"
#include "tests/desktop/screens.h"
#include "tests/desktop/studio.h"

using namespace hangtrue;
using namespace hangtrue::desktop;
using desktop_test::patience_ms;
using desktop_test::Studio;
namespace fs = std::filesystem;

namespace {

constexpr auto long_shop = "The Photographic Printing Company of the Northern Riverside";
constexpr auto long_medium = "Hahnenfeld museum cotton rag, three hundred and ten grams, matt";
constexpr auto long_picture = "the_last_evening_light_on_the_northern_ridge_above_the_valley.tif";

QString described(const QWidget& widget) {
    const auto* label = qobject_cast<const QLabel*>(&widget);
    const auto* button = qobject_cast<const QPushButton*>(&widget);
    return QStringLiteral("%1 \"%2\" %3,%4 %5x%6")
        .arg(QString::fromUtf8(widget.metaObject()->className()), label != nullptr    ? label->text()
                                                                  : button != nullptr ? button->text()
                                                                                      : widget.accessibleName())
        .arg(widget.x())
        .arg(widget.y())
        .arg(widget.width())
        .arg(widget.height());
}

/// Words that have less room than they need. A label that breaks its lines needs its height.
QStringList cut_off(const QWidget& page) {
    QStringList found;
    for (const QWidget* widget : page.findChildren<QWidget*>()) {
        if (!widget->isVisible()) continue;
        const auto* label = qobject_cast<const QLabel*>(widget);
        const auto* button = qobject_cast<const QPushButton*>(widget);
        bool is_cut = false;
        if (label != nullptr && !label->text().isEmpty()) {
            is_cut = label->wordWrap() ? label->height() < label->heightForWidth(label->width())
                                       : label->width() < label->sizeHint().width();
        } else if (button != nullptr) {
            is_cut = button->width() < button->sizeHint().width() &&
                     button->sizePolicy().horizontalPolicy() != QSizePolicy::Ignored;
        }
        if (is_cut) found.append(described(*widget));
    }
    return found;
}

/// What is laid out in one widget, also by layouts within its layout.
void add_laid(const QLayout& layout, QList<const QWidget*>& laid) {
    for (int i = 0; i < layout.count(); ++i) {
        const QWidget* widget = layout.itemAt(i)->widget();
        if (widget != nullptr && widget->isVisible()) laid.append(widget);
        if (const QLayout* within = layout.itemAt(i)->layout()) add_laid(*within, laid);
    }
}

QStringList overlapping(const QWidget& page) {
    QStringList found;
    for (const QWidget* parent : page.findChildren<QWidget*>() + QList<QWidget*>{const_cast<QWidget*>(&page)}) {
        if (!parent->isVisible() || parent->layout() == nullptr) continue;
        QList<const QWidget*> laid;
        add_laid(*parent->layout(), laid);
        for (int i = 0; i < laid.size(); ++i) {
            for (int j = i + 1; j < laid.size(); ++j) {
                const bool is_stacked = parent->inherits("QStackedWidget");
                if (!is_stacked && laid[i]->geometry().intersects(laid[j]->geometry())) {
                    found.append(described(*laid[i]) + QStringLiteral(" and ") + described(*laid[j]));
                }
            }
        }
    }
    return found;
}

}  // namespace

class CrowdedTest : public QObject {
    Q_OBJECT
  private slots:
    void long_names_a_broken_shop_and_many_pictures_fit_the_window() {
        const Studio studio;
        support::ShopMedium medium;
        medium.id = "rag";
        medium.name = long_medium;
        medium.ppi = "{ least = 10, wanted = 60, most = 400 }";
        medium.more = "same_process_for_all_sizes = true\n";
        medium.file = "formats = [\"tiff\"]\ntiff_bits = [8]\ntiff_compressions = [\"none\"]\n";
        medium.sizes = {{"12 x 9", "12 x 9 in", "6.00"}};
        const std::string shop = support::shop_text(long_shop, "", {medium});
        support::write_bytes(studio.data / "shops/long.toml", std::as_bytes(std::span(shop)));
        const std::string broken = "format = 1\nname = \"Broken\"\ncurency = \"EUR\"\n";
        support::write_bytes(studio.data / "shops/zz-broken.toml", std::as_bytes(std::span(broken)));
        const fs::path picture = studio.pictures / long_picture;
        fs::rename(studio.ridge, picture);
        for (int i = 0; i < 200; ++i) {
            fs::create_hard_link(studio.pictures / "small.png", studio.pictures / ("p" + std::to_string(i) + ".png"));
        }
        studio.run([&](jobs::Context& context) {
            plan::Wish wish;
            for (const auto& [key, value] : {std::pair{"shop", "long"}, std::pair{"medium", "rag"},
                                             std::pair{"size", "12x9in"}, std::pair{"enlarge", "filter"}}) {
                jobs::set_wish_word(wish, key, value);
            }
            jobs::MakeRequest request;
            request.picture = picture;
            request.wish = wish;
            request.to = studio.out;
            request.anyway = true;
            jobs::make({request}, context);
            jobs::TestSheetRequest sheet;
            sheet.picture = picture;
            sheet.wish = wish;
            sheet.to = studio.out;
            sheet.anyway = true;
            return jobs::ended([&] { jobs::make_test_sheet(sheet, context); }).sentence;
        });

        for (const auto& [grey, size] :
             {std::pair{Grey::dark, QSize(1280, 800)}, std::pair{Grey::light, QSize(1920, 1080)}}) {
            set_look(*qApp, grey);
            Bridge bridge(studio.workplace());
            MainWindow window(bridge, Habits(studio.data));
            window.resize(size);
            window.show();
            const auto look_at = [&, size = size](const char* name, QWidget& page) {
                QTest::qWait(150);
                desktop_test::keep_screen(
                    window, QStringLiteral("crowded-%1-%2").arg(QString::fromUtf8(name)).arg(size.width()));
                QVERIFY2(window.size() == size, name);
                const auto told = [&](const char* what, const QStringList& which) {
                    return QString::fromUtf8(name) + QString::fromUtf8(what) + which.join(QLatin1String("; "));
                };
                QTRY_VERIFY2_WITH_TIMEOUT(cut_off(page).isEmpty(), qPrintable(told(" cuts off ", cut_off(page))),
                                          patience_ms);
                QTRY_VERIFY2_WITH_TIMEOUT(overlapping(page).isEmpty(),
                                          qPrintable(told(" lays over ", overlapping(page))), patience_ms);
            };
            window.go_to(Place::pictures);
            look_at("pictures-empty", window.pictures_page());
            window.pictures_page().add({desktop_test::shown_path(studio.pictures)});
            QTRY_COMPARE_WITH_TIMEOUT(window.pictures_page().model().rowCount(), 203, patience_ms);
            look_at("pictures", window.pictures_page());
            window.go_to(Place::shops);
            QTRY_COMPARE_WITH_TIMEOUT(window.shops_page().model().rowCount(), 3, patience_ms);
            window.shops_page().mark(QStringLiteral("long"), QStringLiteral("rag"));
            look_at("shops", window.shops_page());
            window.shops_page().show_view(ShopsPage::View::questions);
            look_at("shop-questions", window.shops_page());
            window.shops_page().mark(QStringLiteral("zz-broken"));
            look_at("shop-broken", window.shops_page());
            QSignalSpy stands(&window.tests_page(), &TestsPage::was_shown);
            window.go_to(Place::tests);
            QTRY_VERIFY_WITH_TIMEOUT(!stands.isEmpty(), patience_ms);
            look_at("sheets", window.tests_page());
            window.tests_page().begin_sheet(desktop_test::shown_path(picture));
            look_at("new-sheet", window.tests_page());
            window.go_to(Place::ledger);
            QTRY_COMPARE_WITH_TIMEOUT(window.ledger_page().model().rowCount(), 2, patience_ms);
            window.ledger_page().mark(1);
            look_at("ledger", window.ledger_page());
            fs::remove(studio.data / "pictures.list");
        }
    }

    void an_empty_data_folder_says_what_to_do_on_every_page() {
        desktop_test::Desk desk;
        for (const auto& [place, page] :
             {std::pair{Place::pictures, static_cast<QWidget*>(&desk.window->pictures_page())},
              std::pair{Place::shops, static_cast<QWidget*>(&desk.window->shops_page())},
              std::pair{Place::tests, static_cast<QWidget*>(&desk.window->tests_page())},
              std::pair{Place::ledger, static_cast<QWidget*>(&desk.window->ledger_page())}}) {
            desk.window->go_to(place);
            const auto says_looking = [page = page] {
                for (const QLabel* label : page->findChildren<QLabel*>()) {
                    if (label->isVisible() && label->text().startsWith(QLatin1String("Looking"))) return true;
                }
                return false;
            };
            QTRY_VERIFY_WITH_TIMEOUT(!says_looking(), patience_ms);
            desktop_test::keep_screen(*desk.window, QStringLiteral("empty-") + page->accessibleName());
            // What came last is laid out a turn later.
            QTRY_COMPARE_WITH_TIMEOUT(cut_off(*page), QStringList(), patience_ms);
            QTRY_COMPARE_WITH_TIMEOUT(overlapping(*page), QStringList(), patience_ms);
        }
    }
};

QTEST_MAIN(CrowdedTest)
#include "crowded_test.moc"
