// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/network.h"

#include <cmath>

namespace hangtrue::plan {
namespace {

/// A picture that is soft by nature, not by blur, reads up to about this. Less is not told: a network that is told of
/// blur where there is none sharpens what was soft (training/README.md, "What the engine tells").
constexpr double crisp_px = 0.75;

enlarge::Measures told(const picture::Measured& measured, const raster::PictureInfo& picture) {
    enlarge::Measures measures;
    measures.noise_sd = measured.noise.sd_8bit / 255;
    const double sigma = measured.blur.sigma_px;
    measures.blur_px = sigma > crisp_px ? std::sqrt(sigma * sigma - crisp_px * crisp_px) : 0;
    measures.coding = picture.jpeg_coding;
    return measures;
}

}  // namespace

PlannedNetwork planned_network(const NetworkFacts& network, const picture::Measured& measured,
                               const raster::PictureInfo& picture, double enlarging, enlarge::Grain grain) {
    if (enlarging <= 1) return {};
    return {network.name, network.weights, enlarging <= 2 ? 1 : 2, told(measured, picture), grain};
}

}  // namespace hangtrue::plan
