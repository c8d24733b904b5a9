// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What was made, put into the plain structs of report.

#include "engine/jobs/make.h"
#include "engine/jobs/opened_picture.h"
#include "engine/report/ticket.h"

namespace hangtrue::jobs {

/// The `part` of the upright picture, reduced to `longest_side` pixels, 8-bit sRGB. Reads the picture once.
report::SmallPicture small_picture(OpenedPicture& picture, base::RealRect part, int longest_side, Context& context);

/// What was found and remarked stays with the photographer: the ticket goes to the shop.
report::Ticket ticket_of(const MadeFile& made, const report::SmallPicture& small, const Context& context);

/// One order sheet for each shop and folder that got several prints; returns their paths.
std::vector<std::filesystem::path> write_order_sheets(const std::vector<MakeOutcome>& outcomes, Context& context);

}  // namespace hangtrue::jobs
