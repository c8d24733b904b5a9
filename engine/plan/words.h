// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Small pieces of sentences that the parts of a plan share. Thread-safe.

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/units.h"
#include "engine/plan/wish.h"

namespace hangtrue::plan {

/// A name as it stands in a sentence: "brushed metal" with its quotation marks.
std::string in_quotes(std::string_view name);

/// "a, b or c".
std::string listed(const std::vector<std::string>& words);

/// "60 in (152.4 cm)", "36 x 24 in (91.4 x 61 cm)".
std::string in_both_units(base::Millimetres length);
std::string in_both_units(base::SizeMm size);

/// "#RRGGBB".
std::string hex(FlatColour colour);

/// "200".
std::string ppi_text(base::PixelsPerInch ppi);

/// "7200 x 4800 px".
std::string px_text(base::PixelSize size);

}  // namespace hangtrue::plan
