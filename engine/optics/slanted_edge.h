// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The MTF of a camera, scan or print from the picture of a slanted edge (ISO 12233, e-SFR). Pure mathematics,
/// thread-safe.

#include <optional>
#include <span>
#include <vector>

namespace hangtrue::optics {

/// MTF at equally spaced frequencies from 0, at right angles to the edge; in cycles a pixel where it comes of one.
struct EdgeMtf {
    double step = 0;             ///< Between values.
    std::vector<double> values;  ///< values[0] = 1.
    double angle_degrees = 0;    ///< Of the edge against the columns, signed.

    double at(double cycles_per_px) const;  ///< Between values, a straight line; beyond the last, 0.
    double f50() const;                     ///< The first frequency where it falls to one half; 0: it never does.
};

/// `linear` holds `height` rows of `width` samples proportional to light, with one edge that runs nearly along the
/// columns (2 to 10 degrees off them is best) through every row. For an edge along the rows hand in the transpose.
/// nullopt: no such edge (too small a piece, no contrast, under a degree off the columns, or leaving the piece).
std::optional<EdgeMtf> edge_mtf(std::span<const float> linear, int width, int height);

/// The same of an edge profile gathered elsewhere: means over bins of the width `bin` that follow each other across
/// the edge, which stands in the middle. Frequencies are in cycles a unit of `bin`, up to a quarter of a cycle a bin;
/// no angle. The line spread is kept whole in the inner half and fades to nothing at both ends. nullopt: no contrast.
std::optional<EdgeMtf> profile_mtf(std::span<const double> profile, double bin);

}  // namespace hangtrue::optics
