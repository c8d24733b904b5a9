// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A camera's or scanner's own blur, from the sheet's paper: it ends in a cut, which no print has blurred, so what is
/// seen of it is the device alone (lens, focus, shake, pixels, the file's coding). A knife edge, as common practice has
/// it, gathered as ISO 12233's slanted edges are. Pure, thread-safe.

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "engine/trial/homography.h"
#include "engine/trial/scan_samples.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// Across vertical and across horizontal edges of the sheet: shake and many lenses blur the two differently. Each the
/// standard deviation, in picture pixels, of the Gaussian with the same MTF50; the pixels' own aperture is in it.
struct OwnBlur {
    std::optional<double> vertical_px;
    std::optional<double> horizontal_px;
};

/// Nothing for a direction where no side of the paper tells it surely: no paper lighter than what lies about it, a
/// side along the picture's pixels, a shadow or a bevel along the cut, sharpening that shows, or two sides that differ.
OwnBlur own_blur(const Sheet& sheet, const Homography& to_picture, const std::array<std::vector<EdgeSample>, 4>& sides);

}  // namespace hangtrue::trial
