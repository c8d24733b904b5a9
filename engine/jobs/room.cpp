// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/room.h"

#include <algorithm>

namespace hangtrue::jobs {
namespace {

/// An ordinary door leaf of 80 x 32 in; a bench, whose seat stands at the usual 45 cm (common practice).
constexpr double door_width = 813, door_height = 2032;
constexpr double seat_width = 1400, seat_height = 450;
constexpr double ceiling = 2500;
constexpr double least_below = 350;  ///< Between the floor and a print.
constexpr double above_seat = 200;   ///< Between the bench and a print that hangs over it.
constexpr double apart = 450;        ///< Between print, door and bench.
constexpr double least_above = 150;

HungPanel hung(const plan::Plan& plan) {
    const plan::Geometry& geometry = plan.geometry;
    HungPanel panel;
    panel.place.width = geometry.finished.width.value;
    panel.place.height = geometry.finished.height.value;
    panel.border = geometry.border;
    // From the file's pixels to the picture's: the crop fills `image`.
    const base::PixelRect seen = base::intersection(geometry.finished_px, geometry.image);
    const double across = geometry.crop.width / std::max(1, geometry.image.width);
    const double down = geometry.crop.height / std::max(1, geometry.image.height);
    panel.shown = {geometry.crop.x + (seen.x - geometry.image.x) * across,
                   geometry.crop.y + (seen.y - geometry.image.y) * down, seen.width * across, seen.height * down};
    return panel;
}

}  // namespace

Room room_of(const std::vector<plan::Plan>& plans, base::Millimetres bar_depth, base::Millimetres hanging_height) {
    Room room;
    room.depth = bar_depth.value;
    double width = 0, height = 0;
    for (const plan::Plan& plan : plans) {
        HungPanel panel = hung(plan);
        if (!room.panels.empty()) width += plan.gap.value;
        panel.place.x = width;
        width += panel.place.width;
        height = std::max(height, panel.place.height);
        room.panels.push_back(panel);
    }
    room.middle_height = std::max(hanging_height.value, height / 2 + least_below);
    room.height = std::max(ceiling, room.middle_height + height / 2 + least_above);
    const double top = room.height - room.middle_height - height / 2;
    const double left = apart + door_width + apart;
    const bool over_seat = room.middle_height - height / 2 >= seat_height + above_seat;
    const double stand = over_seat ? std::max(width, seat_width) : width;
    room.group = {left + (stand - width) / 2, top, width, height};
    for (HungPanel& panel : room.panels) {
        panel.place.x += room.group.x;
        panel.place.y = top + (height - panel.place.height) / 2;
    }
    room.door = {apart, room.height - door_height, door_width, door_height};
    const double seat_x = over_seat ? left + (stand - seat_width) / 2 : left + width + apart;
    room.seat = {seat_x, room.height - seat_height, seat_width, seat_height};
    room.width = std::max(room.group.right(), room.seat.right()) + apart;
    return room;
}

double true_size_scale(const plan::Plan& plan, double screen_pixels_per_mm, double stepped_back) {
    const double file_pixels_per_mm = plan.ppi.value / base::millimetres_per_inch;
    if (!(file_pixels_per_mm > 0) || !(stepped_back > 0)) return 1;
    return screen_pixels_per_mm / file_pixels_per_mm / stepped_back;
}

}  // namespace hangtrue::jobs
