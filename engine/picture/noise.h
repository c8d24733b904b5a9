// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Noise from the spectra of small tiles of luminance. Pure arithmetic; thread-safe.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "engine/optics/values.h"

namespace hangtrue::picture {

inline constexpr int tile_side = 16;

/// What a tile of 16 x 16 pixels holds in each band of frequencies: the mean square of the coefficients (k, l) of
/// orthonormal discrete cosine transforms of 8 x 8 pixels, nine of them, four pixels apart, so that they lie on the
/// blocks of a JPEG as well as across their borders. White noise of standard deviation s gives s^2 in every band.
struct TileBands {
    float mean = 0;      ///< Luminance.
    float low = 0;       ///< 1 <= k + l <= 3: what the scene is strongest in.
    float mid = 0;       ///< k, l >= 1, 2.5 <= |(k, l)| < 4.5: about 0.16 to 0.28 cycles a pixel.
    float fine = 0;      ///< |(k, l)| >= 4.5: all above, the borders of a JPEG's blocks too…
    float across = 0;    ///< …its part with 1 <= k < 4 or 1 <= l < 4: texture reaches into it…
    float diagonal = 0;  ///< …its part with k, l >= 4: less texture there…
    float corner = 0;    ///< …and of that k, l >= 6: least texture, and least noise once coded or demosaiced.
};

/// Of the tile that begins at `corner`, rows `stride` floats apart; luminance of 255. nullopt where more than a
/// hundredth of the tile is clipped.
std::optional<TileBands> tile_bands(const float* corner, std::size_t stride);

/// The picture's noise. Works on the order of the tiles in no way. `rounding_variance` is what the samples' depth
/// has added to every band. No tiles: none.
optics::Noise noise_of(std::span<const TileBands> tiles, double rounding_variance);

struct NoiseAtBrightness {
    double luminance = 0;  ///< 0..255, the mean of the tiles.
    double sd_8bit = 0;
    friend bool operator==(const NoiseAtBrightness&, const NoiseAtBrightness&) = default;
};
/// The same for tiles of like brightness alone, eight steps from dark to light; steps with too few tiles are left out.
std::vector<NoiseAtBrightness> noise_by_brightness(std::span<const TileBands> tiles, double rounding_variance);

}  // namespace hangtrue::picture
