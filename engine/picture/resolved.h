// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How fine the real structure of a picture is, from the spectra of its tiles. Pure arithmetic; thread-safe.

#include <array>
#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "engine/base/units.h"
#include "engine/picture/tile_spectrum.h"

namespace hangtrue::picture {

struct TilePower {
    base::PixelRect where;
    float mean = 0;  ///< Luminance, 0..255.
    RingPowers power{};
};

/// The power of white noise in the quietest tiles of middle brightness, where their spectrum is even from 0.4 cycles a
/// pixel to its end: what structure there is falls. 0: it is not even, or there are no such tiles.
double white_noise_power(std::span<const TilePower> tiles);

/// The power of what is no structure, by frequency in cycles a pixel; white noise of standard deviation s: s^2.
using NoisePower = std::function<double(double)>;

struct Resolved {
    /// Where the expected power of structure in the sharpest tiles equals the noise; at most 0.5, 0 where none
    /// stands above the noise.
    double cycles_per_px = 0;
    std::array<double, spectrum_rings> power{};  ///< Of the tiles that are sharpest at each frequency, noise included…
    std::array<double, spectrum_rings> noise{};  ///< …and what of it is noise.
    std::vector<std::size_t> sharpest;           ///< Tiles that are strongest just below that frequency.
};

/// `tile_side`: the shorter side of the tiles as they were windowed. `is_coded`: a JPEG took the finest noise.
/// Independent of the order of the tiles but for ties.
Resolved resolved(std::span<const TilePower> tiles, const NoisePower& noise, int tile_side, bool is_coded);

}  // namespace hangtrue::picture
