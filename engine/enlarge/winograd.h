// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A 3 x 3 convolution of rows of pixels by Winograd's minimal filtering: 4 x 4 sums from 6 x 6 pixels, by 36 products
/// a pair of channels instead of 144 (Lavin, Gray: Fast algorithms for convolutional neural networks, 2015,
/// section 4.3). In floats that costs a few units of the sixth digit of the largest sum.
///
/// All channels of a pixel lie together, rows any distance apart. The sums of a tile of 4 x 4 have the bits that its
/// 6 x 6 pixels and the processor give them, whatever is computed with it; another place of the tiles gives other bits.

#include <cstddef>

#include "engine/base/aligned_floats.h"
#include "engine/base/units.h"
#include "engine/enlarge/weights.h"

namespace hangtrue::enlarge {

enum class After { nothing, relu, add };  ///< What becomes of the sums; add: to what stood there before.

inline constexpr int tile_px = 4;

/// `channels`, filled up to what the widest vector units take at once.
int filled_channels(int channels);

/// Pixels in memory. Both a multiple of 64 bytes: where the first lies, and `row_floats`.
template <typename Float>
struct PixelRows {
    Float* first;
    std::size_t row_floats;
};

/// One convolution with its kernel transformed, channels filled up with zeros. Constant, so for any number of threads.
class WinogradConvolution {
  public:
    explicit WinogradConvolution(const Convolution& plain);

    int inputs() const { return m_inputs; }
    int outputs() const { return m_outputs; }

    /// Sums for `part`, whose sides are multiples of tile_px. `source` has two rows and columns more: its first pixel
    /// lies up and left of the result's. `scratch`: scratch_floats() on a 64-byte boundary, finite numbers.
    void run(const PixelRows<const float>& source, base::PixelSize part, After after, const PixelRows<float>& result,
             float* scratch) const;
    std::size_t scratch_floats() const;

  private:
    int m_inputs;
    int m_outputs;
    base::AlignedFloats m_kernel;  ///< 36 x inputs x outputs.
    base::AlignedFloats m_biases;
};

}  // namespace hangtrue::enlarge
