// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a plan says of enlarging with a trained network. Pure.

#include <string>

#include "engine/base/hash.h"
#include "engine/enlarge/measures.h"
#include "engine/picture/measure.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::plan {

/// The network that jobs found for the wish.
struct NetworkFacts {
    std::string name;  ///< "fine", "quick".
    base::Sha256 weights;
    double undone_blur_px = 0;  ///< In the picture, once it was tried (enlarge/undone_blur.h).
};

/// Enlarging by the trained network, before the resampler takes its result to the exact grid.
struct PlannedNetwork {
    std::string name;  ///< As the weights call it; empty: the filter alone.
    base::Sha256 weights;
    int doublings = 0;  ///< How often it runs, each time to twice the size; 0: the filter alone.
    enlarge::Measures measures;
    enlarge::Grain grain = enlarge::Grain::keep;
    /// Of the way of computing, weights apart: a changed number says that pixels may differ. 1: told of blur beyond
    /// 0.75 px alone, and held to that. 2: convolved without tiles, which rounds otherwise.
    int version = newest_version;
    static constexpr int newest_version = 3;
};

/// Below this the filter is as good where the user leaves the choice (training/README.md, "Through the program").
inline constexpr double least_enlarging_by_network = 1.1;

/// Once up to four times the size, where that was measured to be best (training/README.md), twice beyond; not at all
/// where nothing is enlarged.
PlannedNetwork planned_network(const NetworkFacts& network, const picture::Measured& measured,
                               const raster::PictureInfo& picture, double enlarging, enlarge::Grain grain);

}  // namespace hangtrue::plan
