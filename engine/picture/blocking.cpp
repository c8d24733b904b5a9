// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/blocking.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::picture {
namespace {

constexpr float most_difference = 12;

float difference(float a, float b) { return std::min(std::abs(a - b), most_difference); }

}  // namespace

void BlockingTraces::add(const Plane& plane) {
    const int whole = (plane.width - 1) / 8 * 8;
    for (int y = 0; y < plane.height; ++y) {
        const float* row = plane.row(y);
        std::array<float, 8> across{};
        for (int x = 0; x < whole; x += 8) {
            for (int i = 0; i < 8; ++i) across[static_cast<std::size_t>(i)] += difference(row[x + i], row[x + i + 1]);
        }
        for (std::size_t i = 0; i < 8; ++i) {
            m_across.sums[i] += static_cast<double>(across[i]);
            m_across.counts[i] += whole / 8;
        }
        if (y + 1 == plane.height) continue;
        const float* next = plane.row(y + 1);
        float down = 0;
        for (int x = 0; x < plane.width; ++x) down += difference(row[x], next[x]);
        const auto place = static_cast<std::size_t>(y % 8);
        m_down.sums[place] += static_cast<double>(down);
        m_down.counts[place] += plane.width;
    }
}

double BlockingTraces::ratio_of(const Sums& sums) {
    std::array<double, 8> means{};
    double whole = 0;
    for (std::size_t i = 0; i < 8; ++i) {
        if (sums.counts[i] == 0) return 1;
        means[i] = sums.sums[i] / static_cast<double>(sums.counts[i]);
        whole += means[i];
    }
    const double most = *std::ranges::max_element(means);
    const double others = (whole - most) / 7;
    return others > 1e-3 ? most / others : 1;
}

double BlockingTraces::ratio() const { return (ratio_of(m_across) + ratio_of(m_down)) / 2; }

}  // namespace hangtrue::picture
