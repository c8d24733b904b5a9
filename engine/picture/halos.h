// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Halos that earlier sharpening left along edges. Pure arithmetic; thread-safe.

#include <array>
#include <cstdint>
#include <vector>

#include "engine/optics/values.h"
#include "engine/picture/edges.h"

namespace hangtrue::picture {

/// Edges that stand alone, with an even ground on both sides, counted by how far the picture overshoots beside them.
/// Memory does not grow with their number.
class HaloCounts {
  public:
    /// Counts the edges across the plane's rows and across its columns.
    void add(const Plane& plane);

    /// How far the darker side falls below its ground and the lighter rises above its own, the mean of both, as a
    /// share of the edge's contrast; the median of the edges that stand far above the noise. 0: none, or no edges.
    double overshoot(const optics::Noise& noise) const;

  private:
    void add_rows(const Plane& plane);

    static constexpr int contrast_bins = 12;
    static constexpr int overshoot_bins = 256;
    std::array<std::array<std::int64_t, overshoot_bins>, contrast_bins> m_counts{};
    std::vector<float> m_turned;
};

}  // namespace hangtrue::picture
