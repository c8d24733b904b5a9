// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A medium's blur from slanted edges (ISO 12233, e-SFR) in a picture of any angle and perspective: pixels are gathered
/// by their distance from the edge in millimetres of the sheet, so nothing is resampled. Pure, thread-safe.

#include <optional>
#include <span>

#include "engine/trial/scan_samples.h"

namespace hangtrue::trial {

struct EdgeBlur {
    bool is_vertical = true;
    double offset_mm = 0;  ///< The edge lies this far off its place, towards the light side.
    /// Of the Gaussian with the same MTF50: print, lens and pixels together.
    double seen_sigma_mm = 0;
    /// The medium's MTF50, cycles/mm, the file's and the picture's pixels taken out (both are squares that gather:
    /// sin(x) / x). A lens's own blur stays in it.
    double f50 = 0;
    double pixel_mm = 0;        ///< A picture pixel across the edge.
    bool is_sharpened = false;  ///< The picture has more contrast in fine detail than in coarse: no print does that.
};

/// nullopt: no clear edge, or the picture's pixels stand along it in a row, so that nothing lies between them.
std::optional<EdgeBlur> blur_of(const Sheet& sheet, const SlantedEdge& edge, const Homography& to_picture,
                                std::span<const EdgeSample> samples);

/// A picture's pixels must resolve so many times the medium's MTF50 for a lens's unknown blur to be small beside it:
/// half a pixel's (sigma) then takes 10 % off.
inline constexpr double needed_resolution = 3;

/// The geometric mean of vertical and horizontal edges, cycles/mm. Nothing where one kind is missing, where the picture
/// resolves too little, was sharpened, or where its edges differ so much that focus or shake must be the reason.
std::optional<double> medium_f50(std::span<const EdgeBlur> edges);

}  // namespace hangtrue::trial
