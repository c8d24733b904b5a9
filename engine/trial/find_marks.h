// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The corner marks of test sheets in a picture.

#include <array>
#include <vector>

#include "engine/base/progress.h"
#include "engine/raster/row_reader.h"
#include "engine/trial/homography.h"

namespace hangtrue::trial {

struct FoundMark {
    int code = 0;
    /// Of the black ring's outside, one module within the mark: upper left, upper right, lower right, lower left as the
    /// mark itself stands; picture pixels.
    std::array<Point, 4> corners;
};

/// A picture larger than this is made smaller by a whole number to look for marks in it.
inline constexpr int longest_grey_side = 6400;

/// Every mark of a sheet's corner, in any orientation, by code and then place. Reads the picture once and holds a grey
/// copy of it. Modules of under about 2 px are not found, nor marks in mirror image. Throws what the reader throws,
/// Cancelled.
std::vector<FoundMark> marks_in(raster::RowReader& picture, base::Progress& progress);

}  // namespace hangtrue::trial
