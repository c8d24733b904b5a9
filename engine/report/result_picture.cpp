// SPDX-License-Identifier: Apache-2.0
#include "engine/report/result_picture.h"

#include <algorithm>
#include <utility>

#include "engine/report/page_style.h"

namespace hangtrue::report {
namespace {

using drawing::Box;
using drawing::Canvas;
using drawing::grey;
using drawing::TextStyle;

// Lengths in the room end in _room and are millimetres there; all others are millimetres of the drawing.
constexpr double sheet_width = 320;
constexpr base::PixelsPerInch sheet_ppi{150};
constexpr double side_margin = 22;
constexpr double floor_height = 20;
constexpr double gap = 16;
constexpr double highest_wall = 150;

/// An ordinary door leaf: 80 x 32 in. Eye height for hanging: common practice in galleries is 145 to 155 cm.
constexpr double door_width_room = 813, door_height_room = 2032;
constexpr double hanging_centre_room = 1500;
constexpr double wall_height_room = 2400;
constexpr double clearance_room = 250;
/// Room for the caption below a print.
constexpr double least_below_print_room = 600;

double centre_room(const HungPrint& print) {
    return std::max(hanging_centre_room, print.finished.height.value / 2 + least_below_print_room);
}

struct Scene {
    double scale = 0;        ///< Millimetres of the drawing a millimetre in the room.
    double wall_end = 0;     ///< Where the floor begins.
    double least_slot = 44;  ///< So that a caption under a small print keeps its lines whole.
    double slot(const HungPrint& print) const { return std::max(print.finished.width.value * scale, least_slot); }
    double width(std::span<const HungPrint> prints) const {
        double sum = door_width_room * scale;
        for (const HungPrint& print : prints) sum += gap + slot(print);
        return sum;
    }
};

Scene scene_of(std::span<const HungPrint> prints) {
    double height_room = wall_height_room;
    for (const HungPrint& print : prints) {
        height_room = std::max(height_room, centre_room(print) + print.finished.height.value / 2 + clearance_room);
    }
    const double available = sheet_width - 2 * side_margin;
    Scene scene;
    scene.scale = highest_wall / height_room;
    const double slots = available - gap * static_cast<double>(prints.size());
    // However many prints there are, captions take no more than two thirds of the wall.
    scene.least_slot =
        std::clamp(slots * 2 / 3 / static_cast<double>(std::max<std::size_t>(prints.size(), 1)), 1.0, scene.least_slot);
    while (scene.width(prints) > available && scene.scale > 1e-4) scene.scale *= 0.98;
    scene.wall_end = height_room * scene.scale;
    return scene;
}

void draw_room(Canvas& canvas, double wall_end) {
    canvas.fill({0, 0, sheet_width, wall_end}, grey(0.845), grey(0.765));
    canvas.fill({0, wall_end, sheet_width, floor_height}, grey(0.47), grey(0.56));
}

void draw_skirting(Canvas& canvas, const Scene& scene) {
    const double height = 90 * scene.scale;
    const double wall_end = scene.wall_end;
    canvas.fill({0, wall_end - height, sheet_width, height}, grey(0.87));
    canvas.line(0, wall_end - height, sheet_width, wall_end - height, grey(0.66), 0.18);
    canvas.fill({0, wall_end, sheet_width, 2.4}, grey(0, 0.20), grey(0, 0));
}

void draw_door(Canvas& canvas, double x, const Scene& scene) {
    const double scale = scene.scale, wall_end = scene.wall_end;
    const double width = door_width_room * scale, height = door_height_room * scale;
    const double frame = 70 * scale;
    const double y = wall_end - height;
    canvas.fill({x - frame, y - frame, width + 2 * frame, height + frame}, grey(0.90));
    canvas.outline({x - frame, y - frame, width + 2 * frame, height + frame}, grey(0.66), 0.18);
    canvas.fill({x, y, width, height}, grey(0.865), grey(0.83));
    canvas.outline({x, y, width, height}, grey(0.58), 0.22);
    const double inset = 130 * scale;
    for (const auto& [top, bottom] : {std::pair{0.075, 0.44}, std::pair{0.53, 0.93}}) {
        canvas.outline({x + inset, y + top * height, width - 2 * inset, (bottom - top) * height}, grey(0.72), 0.2);
    }
    canvas.fill({x + width - 95 * scale, wall_end - 1030 * scale, 55 * scale, 22 * scale}, grey(0.42));
}

void draw_shadow(Canvas& canvas, const Box& box) {
    // Many faint rectangles, each a little larger: a soft edge, falling down and to the right.
    constexpr int steps = 16;
    for (int i = 0; i < steps; ++i) {
        const double spread = 0.13 * (i - 6);
        canvas.fill({box.x + 0.8 - spread, box.y + 1.5 - spread, box.width + 2 * spread, box.height + 2 * spread},
                    grey(0, 0.028));
    }
}

void draw_print(Canvas& canvas, const HungPrint& print, double left, const Scene& scene) {
    const double width = print.finished.width.value * scene.scale;
    const double height = print.finished.height.value * scene.scale;
    const Box box{left, scene.wall_end - centre_room(print) * scene.scale - height / 2, width, height};
    draw_shadow(canvas, box);
    if (print.picture.size.width > 0 && print.picture.size.height > 0) {
        canvas.picture(box, print.picture.size, print.picture.rgb);
    } else {
        canvas.fill(box, grey(0.93));
    }
    constexpr TextStyle name{.size_pt = 9, .weight = drawing::Weight::semibold, .colour = ink, .most_lines = 2};
    constexpr TextStyle detail{.size_pt = 8, .colour = grey(0.25), .leading = 0.12, .most_lines = 2};
    double y = box.bottom() + 5;
    for (std::size_t i = 0; i < print.caption.size(); ++i) {
        y += canvas.text(left, y, scene.slot(print) + gap * 0.6, print.caption[i], i == 0 ? name : detail) + 0.5;
    }
}

/// A bar of one metre, and the door's height in words.
void draw_measure(Canvas& canvas, double door_x, const Scene& scene) {
    constexpr TextStyle words{.size_pt = 7.5, .colour = grey(0.97), .most_lines = 1};
    const double y = scene.wall_end + 10;
    const double metre = 1000 * scene.scale;
    const double right = sheet_width - side_margin;
    canvas.line(right - metre, y, right, y, grey(0.97), 0.3);
    for (const double end : {right - metre, right}) canvas.line(end, y - 1.2, end, y + 1.2, grey(0.97), 0.3);
    TextStyle centred = words;
    centred.align = drawing::Align::centre;
    canvas.text(right - metre / 2 - 40, y + 1.8, 80, "1 m (39.4 in)", centred);
    canvas.text(door_x, y - 1.4, 120, "Drawn to scale. The door is 2.03 m (80 in) high.", words);
}

}  // namespace

void write_result_picture(std::span<const HungPrint> prints, const std::filesystem::path& name,
                          base::OutputFile::Existing existing, base::Faults& faults) {
    const Scene scene = scene_of(prints);
    Canvas canvas = Canvas::png({{sheet_width}, {scene.wall_end + floor_height}}, sheet_ppi);
    const double door_x = (sheet_width - scene.width(prints)) / 2;
    draw_room(canvas, scene.wall_end);
    draw_skirting(canvas, scene);
    draw_door(canvas, door_x, scene);
    double x = door_x + door_width_room * scene.scale;
    for (const HungPrint& print : prints) {
        x += gap;
        draw_print(canvas, print, x, scene);
        x += scene.slot(print);
    }
    draw_measure(canvas, door_x, scene);
    base::write_whole_file(name, canvas.finish(), existing, faults);
}

}  // namespace hangtrue::report
