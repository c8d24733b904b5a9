// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Whether a picture was enlarged before, and how many times. Pure arithmetic; one thread at a time.
///
/// Interpolated pixels lie more evenly between their neighbours than the picture's own: the mean size of the second
/// difference of the columns, and of the rows, rises and falls with the period of the picture's own pixels (Gallagher
/// 2005, "Detection of linear and cubic interpolation in JPEG compressed images"). Where new pixels lie evenly about
/// the old ones, as when doubled about their middles, the second difference is the same for all; the first is not.

#include <array>
#include <span>
#include <vector>

#include "engine/base/units.h"
#include "engine/picture/resolved.h"

namespace hangtrue::picture {

class EnlargedTraces {
  public:
    explicit EnlargedTraces(base::PixelSize size);

    /// The next row of luminance, 0..255, from the top.
    void add_row(std::span<const float> row);

    /// How many times the picture's sides were enlarged, 1.2 to 6; 1: not, or not so that it shows. Of a period that
    /// may come from two factors the spectrum tells which. `is_coded`: it went through a JPEG, whose blocks have a
    /// period of their own.
    double factor(const Resolved& resolved, bool is_coded) const;

  private:
    base::PixelSize m_size;
    struct Sums {
        std::vector<double> first, second;  // Differences, each limited.
    };
    Sums m_across;  // A column's, over the rows.
    Sums m_down;    // A row's, over the columns.
    std::array<std::vector<float>, 2> m_before;
    int m_rows = 0;
};

}  // namespace hangtrue::picture
