// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/noise.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::optics {
namespace {

// The middles of the coarse and of the fine part, as they are measured.
constexpr double coarse_middle = 0.2;
constexpr double fine_middle = 0.42;

}  // namespace

double noise_as_white(const Noise& noise, double cycles_per_px) {
    const double coarse = noise.sd_8bit * std::sqrt(noise.coarse_share / white_coarse_share);
    const double fine = noise.sd_8bit * std::sqrt((1 - noise.coarse_share) / (1 - white_coarse_share));
    const double along = std::clamp((cycles_per_px - coarse_middle) / (fine_middle - coarse_middle), 0.0, 1.0);
    return std::lerp(coarse, fine, along);
}

}  // namespace hangtrue::optics
