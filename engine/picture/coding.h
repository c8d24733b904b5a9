// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Whether a picture was a JPEG once, from its samples alone. Pure arithmetic; thread-safe.
///
/// A decoded JPEG's luma, in the 8 x 8 blocks it was coded in, has cosine coefficients that lie on multiples of each
/// frequency's quantisation step, blurred only by rounding to whole codes (Fan, de Queiroz 2003, IEEE Trans. Image
/// Processing 12:230). Anywhere else, and in any other picture, they lie anywhere.

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::picture {

/// Counts coefficients of all 64 ways to lay 8 x 8 blocks on a picture, in tiles spread evenly over it. 4 MB.
class CodingTraces {
  public:
    static constexpr int tile_step = 8;   ///< Tiles begin at multiples of this…
    static constexpr int tile_side = 15;  ///< …and hold one block of each way.

    /// The picture's size, of which `share` of the rows will be added.
    CodingTraces(base::PixelSize size, double share);

    /// A band of `rows` rows of luma as luma_row() gives it, `width` apart. The first one's number in the picture must
    /// be a multiple of tile_step.
    void add(std::span<const float> band, int width, int rows);

    /// The factor on JPEG's example table (ITU-T T.81 K.1), as PictureInfo::jpeg_coding: the mean over the frequencies
    /// whose steps are found. 0: no JPEG, or too little to tell by.
    double jpeg_coding() const;

  private:
    static constexpr int ways = 64;
    static constexpr int frequencies = 64;
    static constexpr int bins = 512;  ///< Of a coefficient's magnitude, four a code.

    void add_tile(const float* corner, std::size_t stride);
    std::uint16_t* counts(std::size_t way, std::size_t frequency) {
        return m_counts.data() + (way * frequencies + frequency) * bins;
    }
    const std::uint16_t* counts(std::size_t way, std::size_t frequency) const {
        return m_counts.data() + (way * frequencies + frequency) * bins;
    }

    std::int64_t m_every;  ///< So many tiles make one that is looked at.
    std::int64_t m_tiles = 0;
    std::vector<std::uint16_t> m_counts;
};

/// What coding adds to the power of structure at `cycles_per_px`, of codes squared: a twelfth of the square of the
/// quantisation steps about there, times what was measured on photographs (many coefficients are nought before and
/// after coding and add nothing). `jpeg_coding` as PictureInfo's; 0 for none.
double coded_power(double jpeg_coding, double cycles_per_px);

}  // namespace hangtrue::picture
