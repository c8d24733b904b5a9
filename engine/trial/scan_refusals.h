// SPDX-License-Identifier: Apache-2.0
#pragma once

/// When a picture of a sheet is not believed. Each throws UnreadableInput, in words for a photographer; `name` is the
/// picture's. Pure, thread-safe.

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/raster/row_reader.h"
#include "engine/trial/bare_paper.h"
#include "engine/trial/edge_blur.h"
#include "engine/trial/find_marks.h"
#include "engine/trial/homography.h"
#include "engine/trial/scan_samples.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// Grey and Lab files.
void require_colours(const raster::PictureInfo& info, const std::string& name);

/// This sheet's four marks, in their order; refuses where they are not there once each.
std::array<FoundMark, 4> marks_of(const Sheet& sheet, std::span<const FoundMark> found, const std::string& name);

/// From the sheet's mm to the picture, by the marks; refuses where they do not lie in one plane.
Homography geometry_of(const Sheet& sheet, const std::array<FoundMark, 4>& marks, const std::string& name);

/// A module needs 3 picture pixels, what is read of a patch 8 a side.
void require_pixels(const Sheet& sheet, const Homography& to_picture, const std::string& name);

/// Edges blurred into what is read of patches, or far off their places.
void require_sharp_and_flat(const Sheet& sheet, std::span<const EdgeBlur> edges, const std::string& name);

/// What one patch's blocks say, as a share of the bare paper's light there.
struct PatchLight {
    Rgb mean{};
    Rgb sd{};                ///< Of the mean, from how the blocks differ.
    bool is_uneven = false;  ///< One half differs from the other by more than blocks by chance do, and visibly.
};
PatchLight light_of(const PatchBlocks& blocks, const Rgb& paper);

/// Spots of paper far brighter or darker than those about them.
void require_no_glare(const Sheet& sheet, std::span<const Point> spots, std::span<const PixelMean> paper,
                      const std::array<Light, 3>& light, const std::string& name);

/// Light at the top code in paper or patches, greys at 0.
void require_no_clipping(const Sheet& sheet, const ScanSamples& samples, const std::string& name);

/// Uneven patches, and greys that are brighter than lighter ones.
void require_even_patches(const Sheet& sheet, std::span<const PatchLight> patches, const std::string& name);

}  // namespace hangtrue::trial
