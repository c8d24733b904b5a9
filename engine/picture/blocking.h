// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How much the borders of a JPEG's blocks of 8 x 8 pixels stand out. Pure arithmetic; thread-safe.

#include <array>
#include <cstdint>

#include "engine/picture/edges.h"

namespace hangtrue::picture {

/// Differences between neighbouring pixels by their place in blocks of eight (after Wang, Sheikh, Bovik 2002, who
/// compare those across the borders with the others). Those of edges count no more than a faint border would.
class BlockingTraces {
  public:
    /// The plane's first row and column must stand at multiples of 8 in the picture.
    void add(const Plane& plane);

    /// The mean difference across the borders, wherever these lie, as a multiple of the mean of the others; the mean
    /// of rows and columns. 1 where there is none, or nothing to tell by.
    double ratio() const;

  private:
    struct Sums {
        std::array<double, 8> sums{};
        std::array<std::int64_t, 8> counts{};
    };
    static double ratio_of(const Sums& sums);
    Sums m_across;
    Sums m_down;
};

}  // namespace hangtrue::picture
