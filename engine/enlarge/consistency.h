// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Nothing invented: an enlarged picture that, made small again, is the picture it came from.
///
/// Made small again means: reduced by two in the picture's encoding with the cubic that is widened to the coarser grid
/// (Keys 1981, a = -1/2), then softened by the Gaussian that was measured of the picture. What that differs from the
/// picture is enlarged and added, a fixed number of times (iterative back-projection: Irani, Peleg 1991). Differences
/// that the picture's noise or its coding explain are left alone, or the noise would be enlarged again.
///
/// Where the grain is kept, those differences are added too, in as many steps more: made small again, the enlarged
/// picture then holds the picture's own grain. Of a coded picture each step adds only the share that is noise, so that
/// less of the coding's damage comes back than of the grain.

#include <cstddef>
#include <vector>

#include "engine/base/aligned_floats.h"
#include "engine/enlarge/measures.h"
#include "engine/enlarge/network.h"

namespace hangtrue::enlarge {

class Consistency {
  public:
    static constexpr int steps = 4;

    explicit Consistency(const Measures& measures, Grain grain = Grain::calm);

    /// Picture pixels around a part that the result depends on.
    int halo_px() const { return (m_grain_share > 0 ? 2 * steps : steps) * reach_px(); }

    /// `enlarged` (2 width x 2 height) is changed so that it fits `picture` (width x height). Within halo_px() of the
    /// border the result depends on what stands beyond it and is not to be used. Thread-safe, each thread with its own
    /// scratch.
    void apply(const RgbPlanes<const float>& picture, int width, int height, const RgbPlanes<float>& enlarged,
               base::AlignedFloats& scratch) const;

    /// One plane made small again into `small` (rows `width` apart). The outer reach_px() pixels are not to be used.
    /// `scratch`: scratch_floats(width).
    void made_small(const float* enlarged, std::size_t stride, int width, int height, float* small,
                    float* scratch) const;
    int reach_px() const { return 4 + static_cast<int>(m_gaussian.size()) / 2; }
    std::size_t scratch_floats(int width) const { return (2 + m_gaussian.size()) * static_cast<std::size_t>(width); }

  private:
    void step(const RgbPlanes<const float>& picture, int width, int height, const RgbPlanes<float>& enlarged,
              float tolerance, float share, float* scratch) const;

    std::vector<float> m_gaussian;  ///< Weights, an odd number; empty where the picture is crisp.
    float m_tolerance;              ///< Differences up to this are left…
    float m_grain_share = 0;        ///< …and of those each step at the end puts this part back.
};

}  // namespace hangtrue::enlarge
