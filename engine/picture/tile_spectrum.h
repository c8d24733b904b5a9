// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The power of small tiles of luminance by frequency. Pure arithmetic.

#include <array>
#include <cstddef>
#include <memory>

namespace hangtrue::picture {

inline constexpr int spectrum_side = 128;  ///< A tile's sides in pixels, at most.
inline constexpr int spectrum_rings = 91;  ///< Ring r holds what lies nearest to r / 128 cycles a pixel; up to 0.707.

constexpr double ring_frequency(double ring) { return ring / spectrum_side; }

/// Mean power in each ring: white noise of standard deviation s gives s^2 in all. Ring 0 says nothing.
using RingPowers = std::array<float, spectrum_rings>;

/// Samples from `corner`, rows `stride` floats apart.
struct Tile {
    const float* corner = nullptr;
    std::size_t stride = 0;
};

/// Transforms tiles of one size; holds the scratch (400 KB), so one for each thread.
class TileSpectrum {
  public:
    /// Sides of 8 to 128 pixels. Tiles smaller than 128 are windowed where they are and filled up with nothing: the
    /// rings stay the same, neighbouring ones tell the same.
    TileSpectrum(int width, int height);
    ~TileSpectrum();
    TileSpectrum(const TileSpectrum&) = delete;
    TileSpectrum& operator=(const TileSpectrum&) = delete;

    /// Two tiles in one transform; they may be the same. Each less its mean, through a Hann window. Left out of the
    /// rings are the frequencies of a grid of 8 x 8 pixels along both axes, where the borders of a JPEG's blocks show.
    void powers(Tile first, Tile second, RingPowers& of_first, RingPowers& of_second);

  private:
    struct Scratch;
    std::unique_ptr<Scratch> m_scratch;
};

/// The share of the power of structure that ends at a frequency at once, which the window spreads further than
/// `bins` (of 1 / side) beyond it: one half at 0.
double spread_beyond(double bins);
/// Its inverse, 0 for shares from one half on.
double bins_of_spread(double share);

}  // namespace hangtrue::picture
