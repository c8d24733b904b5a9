// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Resampling with Lanczos kernels, in float, to an exact grid at any (real-valued) place of the picture.
///
/// Enlarging interpolates with four lobes: the fewest that leave gratings of 0.05 to 0.4 cycles a pixel within
/// 0.001 px of their place at 2x. A step overshoots by at most 12.7 % of its height (the kernel's own; the fade and
/// limit of sharpening come later). Reducing widens a kernel of three lobes by 1/scale, so that nothing aliases
/// (11.8 %). A shift by part of a pixel at exactly 1:1 takes 20 lobes (14.1 %): there what fewer leave of the signal's
/// image falls on the signal itself. Weights sum to one. Which encoding the samples are in is the caller's choice: the
/// picture's own when enlarging, linear light when reducing.

#include <cstddef>
#include <memory>

#include "engine/base/units.h"

namespace hangtrue::enlarge {

inline constexpr double overshoot_limit = 0.127;  ///< Of a step's height, when enlarging.

/// Which part of the picture becomes the image, and how many pixels that gets.
struct Mapping {
    base::RealRect crop;    ///< In picture pixels.
    base::PixelSize image;  ///< The grid that the crop is laid on.
    double scale_x() const { return image.width / crop.width; }
    double scale_y() const { return image.height / crop.height; }
};

/// The picture pixels that the image pixels `part` are computed from. May reach beyond the picture: there
/// the caller repeats its border pixels.
base::PixelRect pixels_needed(const Mapping& mapping, base::PixelRect part);

/// True where image pixels are picture pixels, unchanged.
bool is_copy(const Mapping& mapping);

/// A plane of floats; rows begin on 64-byte boundaries.
struct Plane {
    float* samples = nullptr;
    std::size_t stride = 0;  ///< Floats from row to row, a multiple of 16.
};

/// One part of one mapping, made once and used for each channel. Its results depend on the mapping and the
/// part only. Thread-safe once made, each thread with its own scratch.
class PartResampler {
  public:
    PartResampler(const Mapping& mapping, base::PixelRect part);
    ~PartResampler();
    PartResampler(PartResampler&&) noexcept;

    base::PixelRect needed() const { return m_needed; }
    /// Floats of scratch for one call.
    std::size_t scratch_floats() const;
    /// `source` holds needed() pixels; `result` gets the part (rows may be written up to their next 64-byte boundary).
    void resample(const Plane& source, const Plane& result, float* scratch) const;

  private:
    struct State;
    base::PixelRect m_needed;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::enlarge
