// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/undone_blur.h"

#include <algorithm>

namespace hangtrue::enlarge {
namespace {

constexpr double least_sigma_px = 0.3;
constexpr double most_sigma_px = 1.6;
constexpr double step_px = 0.05;

/// So many times the sum of squares that the best one leaves may be left without any blur: where the network undoes
/// none, the best Gaussian fits what it changed of grain and of the picture's rounding.
constexpr double no_blur_excess = 1.2;

}  // namespace

UndoneBlur::UndoneBlur() {
    m_trials.push_back({0, Consistency(Measures{})});
    for (int i = 0; least_sigma_px + i * step_px < most_sigma_px + step_px / 2; ++i) {
        const double sigma = least_sigma_px + i * step_px;
        m_trials.push_back({sigma, Consistency(Measures{.undone_blur_px = sigma})});
    }
}

void UndoneBlur::add(const RgbPlanes<const float>& picture, int width, int height,
                     const RgbPlanes<const float>& enlarged, base::AlignedFloats& scratch) {
    // The same pixels for all: those that the widest one reaches.
    const int margin = m_trials.back().made_small.reach_px();
    const auto w = static_cast<std::size_t>(width);
    const std::size_t floats = w * static_cast<std::size_t>(height);
    float* const small = scratch.room_for(floats + m_trials.back().made_small.scratch_floats(width));
    for (Trial& trial : m_trials) {
        for (std::size_t channel = 0; channel < 3; ++channel) {
            trial.made_small.made_small(enlarged.planes[channel], enlarged.stride, width, height, small,
                                        small + floats);
            for (int y = margin; y < height - margin; ++y) {
                const float* wanted = picture.planes[channel] + static_cast<std::size_t>(y) * picture.stride;
                const float* made = small + static_cast<std::size_t>(y) * w;
                for (int x = margin; x < width - margin; ++x) {
                    const double difference = made[x] - wanted[x];
                    trial.squares += difference * difference;
                }
            }
        }
    }
}

double UndoneBlur::sigma_px() const {
    const Trial& best = *std::ranges::min_element(m_trials, {}, &Trial::squares);
    return m_trials.front().squares <= no_blur_excess * best.squares ? 0 : best.sigma_px;
}

}  // namespace hangtrue::enlarge
