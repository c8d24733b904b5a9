// SPDX-License-Identifier: Apache-2.0
#include "engine/report/test_guide.h"

#include <algorithm>

#include "engine/report/page_style.h"
#include "engine/report/words.h"

namespace hangtrue::report {
namespace {

using drawing::Align;
using drawing::Canvas;
using drawing::TextStyle;

constexpr double left = 20;
constexpr double width = 170;
constexpr double top = 16;
constexpr double text_width = 96;
constexpr double sketch_left = left + text_width + 10;
constexpr double sketch_width = width - text_width - 10;

constexpr TextStyle letter{
    .size_pt = 9, .weight = drawing::Weight::semibold, .colour = ink, .align = Align::centre, .most_lines = 1};

/// The sheet's outline with its cells, greys and marks, true to scale.
double draw_sketch(Canvas& canvas, const TestGuide& guide, double y) {
    const double scale = sketch_width / guide.sheet.width;
    const auto box = [&](const base::PixelRect& rect) {
        return drawing::Box{sketch_left + rect.x * scale, y + rect.y * scale, rect.width * scale, rect.height * scale};
    };
    canvas.outline(box({0, 0, guide.sheet.width, guide.sheet.height}), hairline, 0.2);
    for (const base::PixelRect& mark : guide.marks) canvas.fill(box(mark), ink);
    for (const auto& grey : guide.greys) canvas.fill(box(grey.rect), drawing::grey(0.6));
    for (const auto& cell : guide.cells) {
        const drawing::Box place = box(cell.rect);
        canvas.fill(place, tint);
        canvas.outline(place, hairline, 0.15);
        canvas.text(place.x, place.y + place.height / 2 - 2, place.width, cell.name, letter);
    }
    return guide.sheet.height * scale;
}

/// The picture with the cells' part outlined.
void draw_part(Canvas& canvas, const TestGuide& guide, double y) {
    if (guide.picture.size.width == 0) return;
    const double height = sketch_width * guide.picture.size.height / guide.picture.size.width;
    canvas.picture({sketch_left, y, sketch_width, height}, guide.picture.size, guide.picture.rgb);
    const drawing::Box part{sketch_left + guide.part.x * sketch_width, y + guide.part.y * height,
                            guide.part.width * sketch_width, guide.part.height * height};
    canvas.outline(part, drawing::grey(1), 0.9);
    canvas.outline(part, ink, 0.3);
    canvas.text(sketch_left, y + height + 2, sketch_width,
                "The cells show the outlined part, " + guide.cell_size + " wide in the print.", quiet);
}

std::string range_words(const std::vector<TestGuide::Named>& named) {
    return named.empty() ? "" : named.front().name + " to " + named.back().name;
}

}  // namespace

void write_test_guide(const TestGuide& guide, const std::filesystem::path& name, base::OutputFile::Existing existing,
                      base::Faults& faults) {
    const std::string number = std::to_string(guide.number);
    Canvas canvas = Canvas::pdf(drawing::a4, "Test sheet " + number, "", guide.made_on);
    Sheet page(canvas, 1, /*draws=*/true);
    page.text(left, top, width / 2, "Test sheet", page_label);
    page.text(left + width / 2, top, width / 2, date_words(guide.made_on), aligned(page_label, Align::right));
    page.rule(left, top + 5, width, ink, 0.3);
    double y = top + 10;
    y += page.text(left, y, width, "Test sheet " + number, page_title) + 1;
    y += page.text(left, y, width,
                   guide.medium_name + " from " + guide.shop_name + ", for \"" + guide.picture_name + "\" at " +
                       guide.print_size,
                   cut_after(quiet, 2)) +
         8;
    const double sketch_top = y;
    const auto section = [&](const char* head, const std::vector<std::string>& lines) {
        y += page.text(left, y, text_width, head, heading) + 1.2;
        for (const std::string& line : lines) y += page.text(left, y, text_width, line, body) + 1.6;
        y += 4;
    };
    std::vector<std::string> order{"Order the file \"" + guide.file_name + "\" as " + guide.size_name +
                                   ", as it is: no colour change, no retouching, no resizing."};
    for (const std::string& choice : guide.order_choices) order.push_back("Choose: " + choice);
    section("Ordering it", order);
    section("In which light",
            {"Let the print lie for a day: inks and coatings settle.",
             "Judge it by daylight from a window without sun, or under a lamp that is bright (500 lux and more) and "
             "renders colours well, of about 5000 K. The light of a living room in the evening is too dim to judge by.",
             "The wall behind the screen and your clothes are best grey; nothing strongly coloured near."});
    section(
        "Comparing with the screen",
        {"Show the outlined part on the screen, as large as the cells are. White on the screen and the bare paper must "
         "look equally bright side by side: turn the screen's brightness until they do.",
         "Look from arm's length. Which cell, " + range_words(guide.cells) +
             ", looks most like the screen? Which comes next? Look away now and then, and trust the first glance."});
    section("Without the screen", {"Of the greys " + range_words(guide.greys) +
                                   ", which one has no tint beside the bare paper? Cover the rest."});
    section("Answering",
            {"hangtrue test answer " + number + " --cell E --second B --grey G4",
             "Two are equally good: --cell E,F. All of them are off the same way: --all-too dark (or light, "
             "green, magenta, warm, cool). Say how bright the screen is and what light it was: "
             "--screen-brightness 120 --light 500.",
             "With a scanner instead: hangtrue test scan " + number +
                 " FILE. Scan the whole sheet at 300 ppi or more, every automatic correction switched off, the "
                 "scanner's colour profile in the file. A photograph in even light will do: the whole sheet on a plain "
                 "dark table, its edges in the picture. Add --photograph."});
    draw_part(canvas, guide, sketch_top + draw_sketch(canvas, guide, sketch_top) + 6);
    base::write_whole_file(name, canvas.finish(), existing, faults);
}

}  // namespace hangtrue::report
