// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Reading a test sheet from a scan or a photograph: marks found, perspective and uneven light undone, patches and
/// edges read.

#include <optional>
#include <string>

#include "engine/base/progress.h"
#include "engine/colour/profile.h"
#include "engine/raster/row_reader.h"
#include "engine/trial/reading.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// The number that the marks in a picture say; nothing where four of one sheet are not found. Holds a grey copy of the
/// picture, made smaller where it is larger than 4000 px.
std::optional<std::int64_t> sheet_number_in(raster::RowReader& picture, base::Progress& progress);

/// `profile`: the picture file's own; nothing where it has none: then values are relative to the bare paper, and those
/// of greys alone. `name` stands in sentences. Any orientation; the sheet may be turned, skewed and in perspective.
/// Throws UnreadableInput with the reason: marks missing, another sheet, blurred, clipped, glare, too few pixels;
/// Cancelled.
Measured read_scan(const Sheet& sheet, raster::RowReader& picture, const std::optional<colour::Profile>& profile,
                   const std::string& name, base::Progress& progress);

}  // namespace hangtrue::trial
