// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Small pieces of sentences that the parts of a plan share. Thread-safe.

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/units.h"
#include "engine/base/units_text.h"
#include "engine/plan/wish.h"

namespace hangtrue::plan {

/// A name as it stands in a sentence: "brushed metal" with its quotation marks.
std::string in_quotes(std::string_view name);

/// "a, b or c".
std::string listed(const std::vector<std::string>& words);

/// "60 in (152.4 cm)", "36 x 24 in (91.4 x 61 cm)": the user's own units first.
std::string in_both_units(base::Millimetres length, base::ShownUnits units);
std::string in_both_units(base::SizeMm size, base::ShownUnits units);

/// Bleeds and borders, which are an eighth of an inch or a few millimetres: "0.125 in (3.2 mm)".
std::string edge_in_both_units(base::Millimetres width, base::ShownUnits units);

/// A distance in the room: "4.6 ft (1.4 m)".
std::string distance_in_both_units(base::Millimetres distance, base::ShownUnits units);

/// "#RRGGBB".
std::string hex(FlatColour colour);

/// "200".
std::string ppi_text(base::PixelsPerInch ppi);

/// "7200 x 4800 px".
std::string px_text(base::PixelSize size);

}  // namespace hangtrue::plan
