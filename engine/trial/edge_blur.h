// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A medium's blur from slanted edges (ISO 12233, e-SFR) in a picture of any angle and perspective: pixels are gathered
/// by their distance from the edge in millimetres of the sheet, so nothing is resampled. Pure, thread-safe.

#include <optional>
#include <span>

#include "engine/optics/slanted_edge.h"
#include "engine/trial/own_blur.h"
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
    /// At cycles/mm, the file's pixels taken out: print, lens and the picture's pixels together.
    optics::EdgeMtf print_and_device;
    double pixel_mm = 0;        ///< A picture pixel across the edge.
    bool is_sharpened = false;  ///< The picture has more contrast in fine detail than in coarse: no print does that.
};

/// nullopt: no clear edge, or the picture's pixels stand along it in a row, so that nothing lies between them.
std::optional<EdgeBlur> blur_of(const Sheet& sheet, const SlantedEdge& edge, const Homography& to_picture,
                                std::span<const EdgeSample> samples);

/// Where a device's own blur is not known, a picture's pixels must resolve so many times the medium's MTF50 for it to
/// be small beside it: half a pixel's (sigma) then takes 10 % off.
inline constexpr double needed_resolution = 3;
/// Where it is known, the device must leave so much of the contrast at the medium's MTF50: then what its blur is wrong
/// by stands in the medium's less than twice.
inline constexpr double needed_contrast = 0.3;

/// The geometric mean of vertical and horizontal edges, cycles/mm, the device's own blur taken out where it is known
/// for both. Nothing where one kind is missing, where the picture resolves too little, was sharpened, or where its
/// edges differ so much that focus or shake must be the reason.
std::optional<double> medium_f50(std::span<const EdgeBlur> edges, const OwnBlur& own);

}  // namespace hangtrue::trial
