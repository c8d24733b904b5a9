// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Resampling with the Lanczos-3 kernel, in float, to an exact grid at any (real-valued) place of the picture.
///
/// Enlarging interpolates; reducing widens the kernel by 1/scale, so that nothing aliases. The weights sum to
/// one. A step from 0 to 1 overshoots by at most 12 % of its height when enlarging (11.8 % for the kernel
/// itself; the fade and limit of sharpening come later). Which encoding the samples are in is the caller's
/// choice: the picture's own when enlarging, linear light when reducing.

#include <cstddef>
#include <memory>

#include "engine/base/units.h"

namespace hangtrue::enlarge {

inline constexpr double overshoot_limit = 0.12;  ///< Of a step's height.

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
