// SPDX-License-Identifier: Apache-2.0
#include "engine/report/findings_page.h"

#include <algorithm>
#include <array>

#include "engine/report/page_style.h"
#include "engine/report/words.h"

namespace hangtrue::report {
namespace {

using drawing::Align;
using drawing::Box;
using drawing::Canvas;
using drawing::TextStyle;

constexpr double left = 20;
constexpr double width = 170;
constexpr double top = 16;
constexpr double bottom = 281;
constexpr double number_column = 9;
constexpr double least_picture_height = 55;

constexpr TextStyle flag{.size_pt = 7.5,
                         .weight = drawing::Weight::semibold,
                         .colour = drawing::grey(1),
                         .align = Align::centre,
                         .leading = 0,
                         .most_lines = 1};

struct Layout {
    double text_scale;
    double picture_height;  ///< At most, mm.
};
constexpr std::array layouts{Layout{1, 125},  Layout{1, 100},   Layout{0.95, 85},
                             Layout{0.9, 75}, Layout{0.84, 65}, Layout{0.78, least_picture_height}};

/// A black square with the number in white, which reads on any picture.
void draw_flag(Sheet& sheet, double x, double y, int number) {
    constexpr double side = 4.4;
    sheet.fill({x - 0.35, y - 0.35, side + 0.7, side + 0.7}, drawing::grey(1));
    sheet.fill({x, y, side, side}, ink);
    sheet.text(x, y + 0.75, side, std::to_string(number), flag);
}

/// Cut to the picture.
Box on_page(const base::RealRect& shares, const Box& picture) {
    const auto clamped = [](double share) { return std::clamp(share, 0.0, 1.0); };
    const double x = clamped(shares.x);
    const double y = clamped(shares.y);
    return {picture.x + x * picture.width, picture.y + y * picture.height,
            (clamped(shares.x + shares.width) - x) * picture.width,
            (clamped(shares.y + shares.height) - y) * picture.height};
}

/// The picture, what is cut away lightened, each finding's places outlined and numbered. Returns its height.
double draw_picture(Sheet& sheet, const FindingsPage& page, double y, double most_height) {
    if (page.picture.size.width == 0 || page.picture.size.height == 0) return 0;
    const double shape = static_cast<double>(page.picture.size.width) / page.picture.size.height;
    const double height = std::min(most_height, width / shape);
    const Box picture{left + (width - height * shape) / 2, y, height * shape, height};
    sheet.picture(picture, page.picture);
    if (page.crops.size() == 1) sheet.fill_around(picture, on_page(page.crops.front(), picture), drawing::grey(1, 0.6));
    for (const base::RealRect& crop : page.crops) sheet.outline(on_page(crop, picture), drawing::grey(1), 0.25);
    for (const auto& entry : page.entries) {
        for (const base::RealRect& place : entry.where) {
            const Box box = on_page(place, picture);
            sheet.outline(box, drawing::grey(1), 0.9);
            sheet.outline(box, ink, 0.35);
        }
    }
    // Over all outlines; side by side where several begin at one place.
    std::vector<Box> taken;
    int number = 0;
    for (const auto& entry : page.entries) {
        ++number;
        for (const base::RealRect& place : entry.where) {
            const Box box = on_page(place, picture);
            // In the corner of what is large, beside what is small.
            constexpr double side = 5;
            const double beside = box.width < 3 * side || box.height < 2 * side ? side : 0;
            Box spot{std::clamp(box.x - beside, picture.x, picture.right() - side),
                     std::clamp(box.y - beside, picture.y, picture.bottom() - side), side, side};
            const auto meets = [&spot](const Box& other) {
                return spot.x < other.right() && other.x < spot.right() && spot.y < other.bottom() &&
                       other.y < spot.bottom();
            };
            while (std::any_of(taken.begin(), taken.end(), meets) && spot.right() + side <= picture.right()) {
                spot.x += side;
            }
            draw_flag(sheet, spot.x, spot.y, number);
            taken.push_back(spot);
        }
    }
    return height;
}

/// One finding beside its number. Returns its height.
double draw_entry(Sheet& sheet, const FindingsPage::Entry& entry, int number, double y, bool draws) {
    const double text_left = left + number_column;
    const double text_width = width - number_column;
    double at = y;
    if (draws) draw_flag(sheet, left, y + sheet.scaled(0.1), number);
    const TextStyle sentence = entry.severity == "Note" ? body : strong;
    at += sheet.text(text_left, at, text_width, entry.severity + ": " + entry.sentence, sentence);
    if (!entry.way_out.empty()) {
        at += sheet.scaled(0.4);
        at += sheet.text(text_left, at, text_width, entry.way_out + (entry.option.empty() ? "" : "   " + entry.option),
                         body);
    }
    if (!entry.figure.empty()) {
        at += sheet.scaled(0.4);
        at += sheet.text(text_left, at, text_width, entry.figure, quiet);
    }
    return at - y + sheet.scaled(2.6);
}

/// Draws, or only tells whether everything has room; past the foot the rest is counted.
bool drawn(Canvas& canvas, const FindingsPage& page, const Layout& layout, bool draws) {
    Sheet sheet(canvas, layout.text_scale, draws);
    Sheet head(canvas, 1, draws);
    head.text(left, top, width / 2, "Before you pay", page_label);
    head.text(left + width / 2, top, width / 2, date_words(page.made_on), aligned(page_label, Align::right));
    head.rule(left, top + 5, width, ink, 0.3);
    double y = top + 10;
    y += head.text(left, y, width, page.picture_name, page_title) + 1;
    y += head.text(left, y, width,
                   page.medium_name + " from " + page.shop_name + ", " + page.print_size + ". " + page.verdict,
                   cut_after(quiet, 2)) +
         6;
    y += draws ? draw_picture(sheet, page, y, layout.picture_height) : [&] {
        if (page.picture.size.width == 0 || page.picture.size.height == 0) return 0.0;
        return std::min(layout.picture_height, width * page.picture.size.height / page.picture.size.width);
    }();
    y += 7;
    Sheet measuring(canvas, layout.text_scale, /*draws=*/false);
    for (std::size_t i = 0; i < page.entries.size(); ++i) {
        const auto& entry = page.entries[i];
        const int number = static_cast<int>(i) + 1;
        const double height = draw_entry(measuring, entry, number, y, /*draws=*/false);
        const bool is_last = i + 1 == page.entries.size();
        if (y + height > bottom - (is_last ? 0 : measuring.scaled(5))) {
            if (draws) {
                const auto rest = static_cast<long long>(page.entries.size() - i);
                sheet.text(left + number_column, y, width - number_column,
                           "and " + std::to_string(rest) + " more: `hangtrue check` says them all.", quiet);
            }
            return false;
        }
        if (draws) draw_entry(sheet, entry, number, y, /*draws=*/true);
        y += height;
    }
    if (page.entries.empty() && draws) sheet.text(left, y, width, "Nothing stands in the way of this print.", strong);
    return true;
}

}  // namespace

void write_findings(std::span<const FindingsPage> pages, const std::filesystem::path& name,
                    base::OutputFile::Existing existing, base::Faults& faults) {
    const std::string date = pages.empty() ? std::string() : pages.front().made_on;
    Canvas canvas = Canvas::pdf(drawing::a4, "Before you pay", "", date);
    for (std::size_t i = 0; i < pages.size(); ++i) {
        if (i > 0) canvas.next_page();
        const auto* layout = std::find_if(layouts.begin(), layouts.end(), [&](const Layout& candidate) {
            return drawn(canvas, pages[i], candidate, /*draws=*/false);
        });
        drawn(canvas, pages[i], layout == layouts.end() ? layouts.back() : *layout, /*draws=*/true);
    }
    base::write_whole_file(name, canvas.finish(), existing, faults);
}

}  // namespace hangtrue::report
