// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Reading a test sheet from a scan or a photograph: marks found, perspective and uneven light undone, patches and
/// edges read. Thread-safe; the same picture gives the same values.

#include <cstdint>
#include <optional>
#include <string>

#include "engine/base/progress.h"
#include "engine/colour/profile.h"
#include "engine/raster/row_reader.h"
#include "engine/trial/reading.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// What may be believed of a picture's colours.
enum class Trust {
    colours,  ///< They are those of the sheet, through the file's profile: a scanner that was profiled.
    greys     ///< Brightness and tint of greys against the bare paper alone: any camera, a scanner without a profile.
};

/// The number that the marks in a picture say; nothing where four of one sheet are not found. Holds a grey copy of the
/// picture, made smaller where it is larger than 6400 px.
std::optional<std::int64_t> sheet_number_in(raster::RowReader& picture, base::Progress& progress);

/// `profile`: the picture file's own, its curve is used; nothing where it has none: that of sRGB. Trust::colours needs
/// one. `name` stands in sentences. Any orientation; the sheet may be turned, skewed and in perspective; bends of a
/// lens are not undone. The picture is read twice, row by row.
///
/// Patches come in the sheet's order: all whose light was not cut off, with Trust::greys only greys and near greys.
/// Their sd says what the patch's own unevenness and that of the light leave open, and with Trust::greys what a
/// camera's own curve may add. The paper's Lab is as the profile has it: relative to its media white, where that is not
/// D50.
///
/// Throws UnreadableInput with the reason: marks missing, another sheet, blurred, clipped, glare, too few pixels, not
/// flat, no colours; Cancelled.
Measured read_scan(const Sheet& sheet, raster::RowReader& picture, const std::optional<colour::Profile>& profile,
                   Trust trust, const std::string& name, base::Progress& progress);

}  // namespace hangtrue::trial
