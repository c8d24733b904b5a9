// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Noise and blur of luminance tiles. Pure arithmetic; thread-safe.

#include <array>
#include <cstddef>
#include <cstdint>
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

/// How strongly a tile answers Immerkaer's kernel (1 -2 1; -2 4 -2; 1 -2 1), as the sd of white noise that would
/// answer so: at full size, and of the means of 2 x 2 pixels.
struct TileRoughness {
    double fine = 0;
    double coarse = 0;
};

/// nullopt: smaller than 12 x 12, or more than a hundredth of it clipped. Each value is a mean of the lower three
/// quarters of the answers, so that an edge through the tile does not count.
std::optional<TileRoughness> tile_roughness(const Tile& tile);

/// The picture's noise from its quietest tiles. White noise is halved by the means of 2 x 2 pixels; what a scene
/// holds is not (its spectrum falls with the frequency: Field 1987), so the two tell noise from texture.
optics::Noise noise_of(std::vector<TileRoughness> tiles);

/// Clean steps of brightness and how soft each is. Memory does not grow with their number.
class EdgeWidths {
  public:
    /// Adds the steps of the tile, along rows and columns: runs of one direction whose slope peaks, measured by the
    /// slope's second moment. Only steps well above `noise` count.
    void add(const Tile& tile, optics::Noise noise);

    /// Of the sharpest quarter of the steps; 0 where there are none.
    optics::Blur sharpest() const;

  private:
    void add_line(std::span<const float> line, double noise_sd);

    static constexpr int bins_per_px = 128;
    std::array<std::int64_t, std::size_t{bins_per_px} * 12> m_counts{};
    std::vector<float> m_smoothed;
};

}  // namespace hangtrue::picture
