// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ticket's layout, apart from its file. Private to engine/report and its tests.

#include "engine/drawing/canvas.h"
#include "engine/report/ticket.h"

namespace hangtrue::report {

/// Where the ticket's text must end: below it stands the foot (mm).
inline constexpr double ticket_content_end_mm = 276;

/// Draws the ticket on an A4 page, in the largest of the layouts that fits. Returns where its text ends (mm).
double draw_ticket(drawing::Canvas& canvas, const Ticket& ticket);

}  // namespace hangtrue::report
