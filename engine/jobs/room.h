// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where a print hangs on a wall, to scale, with a door and a seat for measure. Pure, thread-safe.

#include <vector>

#include "engine/base/units.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"

namespace hangtrue::jobs {

/// Millimetres on the wall; x to the right, y downwards from the ceiling.
struct RoomRect {
    double x = 0;
    double y = 0;
    double width = 0;
    double height = 0;
    double right() const { return x + width; }
    double bottom() const { return y + height; }
};

struct HungPanel {
    RoomRect place;        ///< What hangs of it.
    base::RealRect shown;  ///< What of the upright picture is seen there, bleed and wrap not.
    base::Edges<base::Millimetres> border;
};

struct Room {
    double width = 0;
    double height = 0;  ///< From the ceiling to the floor.
    std::vector<HungPanel> panels;
    RoomRect group;    ///< All panels with their gaps.
    double depth = 0;  ///< How far the print stands off the wall: a canvas on its bars.
    RoomRect door;
    RoomRect seat;             ///< A bench; beside the print where it hangs too low to stand below it.
    double middle_height = 0;  ///< Of the group, above the floor.
};

/// Heights at which galleries hang the middle of a picture: 145 to 155 cm (common practice); a low sill for the tall.
inline constexpr base::Millimetres usual_hanging_height{1500};

/// `plans`: one a panel. `hanging_height`: of the group's middle above the floor; a print that would stand on the floor
/// goes up.
Room room_of(const std::vector<plan::Plan>& plans, base::Millimetres bar_depth,
             base::Millimetres hanging_height = usual_hanging_height);

/// The factor by which the file is brought to a screen of `screen` device pixels a millimetre so that the print is as
/// large there as it hangs; `stepped_back` > 1: as it looks from that many times the distance of the screen.
double true_size_scale(const plan::Plan& plan, double screen_pixels_per_mm, double stepped_back);

}  // namespace hangtrue::jobs
