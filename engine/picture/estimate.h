// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Noise and blur of luminance tiles. Pure arithmetic; thread-safe.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "engine/optics/values.h"

namespace hangtrue::picture {

/// A rectangle of luminance (0..255) within a larger buffer of rows.
struct Tile {
    const float* data = nullptr;
    int width = 0;
    int height = 0;
    std::size_t stride = 0;
    float at(int x, int y) const { return data[static_cast<std::size_t>(y) * stride + static_cast<std::size_t>(x)]; }
};

/// Standard deviation of white noise in the tile: the median of |I * N| with Immerkaer's kernel N (1 -2 1; -2 4 -2;
/// 1 -2 1), whose norm is 6, over 0.6745. The median leaves edges out that Immerkaer's mean takes in.
/// nullopt: smaller than 8 x 8, or more than a hundredth of it clipped.
std::optional<double> tile_noise(const Tile& tile);

/// One sharp step of brightness, seen along a row or column.
struct EdgeWidth {
    float sigma_px = 0;
    float contrast = 0;  ///< Of 255.
};

/// Appends the clean steps of the tile: monotone runs whose slope peaks, measured by the slope's second moment.
/// `noise` of 255; only steps well above it count.
void add_edges(const Tile& tile, double noise, std::vector<EdgeWidth>& edges);

/// From all tiles' noise: the quietest tenth is what the picture's noise is; texture only adds.
optics::Noise noise_of(std::vector<double> tiles);

/// From all steps found: the sharpest parts.
optics::Blur blur_of(std::vector<EdgeWidth> edges);

}  // namespace hangtrue::picture
