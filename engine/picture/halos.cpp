// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/halos.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::picture {
namespace {

constexpr int near = 7;                // So far from the edge a halo may reach…
constexpr int ground_to = 12;          // …and from there to here lies the ground.
constexpr double first_contrast = 32;  // Where the bins begin, four an octave.
constexpr double most_overshoot = 0.64;
constexpr std::int64_t least_edges = 24;

struct Ground {
    float mean = 0;
    float range = 0;
};

Ground ground(const float* row, int from, int to) {
    float least = row[from];
    float most = row[from];
    float sum = 0;
    for (int x = from; x <= to; ++x) {
        least = std::min(least, row[x]);
        most = std::max(most, row[x]);
        sum += row[x];
    }
    return {sum / static_cast<float>(to - from + 1), most - least};
}

}  // namespace

void HaloCounts::add_rows(const Plane& plane) {
    for (int y = 0; y < plane.height; ++y) {
        const float* row = plane.row(y);
        const float* above = plane.row(std::max(y - 1, 0));
        const float* below = plane.row(std::min(y + 1, plane.height - 1));
        for (int x = ground_to; x + ground_to + 1 < plane.width; ++x) {
            const float slope = row[x + 1] - row[x];
            const float height = std::abs(slope);
            if (height < 6) continue;
            if (height <= std::abs(row[x] - row[x - 1]) || height < std::abs(row[x + 2] - row[x + 1])) continue;
            if (std::abs(below[x] - above[x]) > 0.7f * height) continue;  // Slanted: wider along the row than it is.
            const Ground left = ground(row, x - ground_to, x - near);
            const Ground right = ground(row, x + 1 + near, x + 1 + ground_to);
            const float contrast = std::abs(right.mean - left.mean);
            if (contrast < static_cast<float>(first_contrast)) continue;
            if ((right.mean > left.mean) != (slope > 0)) continue;
            if (std::max(left.range, right.range) > 0.15f * contrast) continue;
            // A clipped ground hides what would go beyond it.
            if (std::min(left.mean, right.mean) < 4 || std::max(left.mean, right.mean) > 251) continue;
            const float sign = slope > 0 ? 1.0f : -1.0f;
            float beyond_left = 0;
            float beyond_right = 0;
            for (int i = 1; i < near; ++i) {
                beyond_left = std::max(beyond_left, sign * (left.mean - row[x - i]));
                beyond_right = std::max(beyond_right, sign * (row[x + 1 + i] - right.mean));
            }
            const double overshoot = static_cast<double>((beyond_left + beyond_right) / (2 * contrast));
            const int overshoot_bin =
                std::min(static_cast<int>(overshoot / most_overshoot * overshoot_bins), overshoot_bins - 1);
            const int contrast_bin = std::min(
                static_cast<int>(4 * std::log2(static_cast<double>(contrast) / first_contrast)), contrast_bins - 1);
            ++m_counts[static_cast<std::size_t>(contrast_bin)][static_cast<std::size_t>(overshoot_bin)];
        }
    }
}

void HaloCounts::add(const Plane& plane) {
    add_rows(plane);
    add_rows(turned(plane, m_turned));
}

double HaloCounts::overshoot(const optics::Noise& noise) const {
    // The largest of six values of noise lies 1.27 standard deviations above their mean (order statistics of the
    // normal distribution): so much is taken off.
    constexpr double largest_of_six = 1.27;
    std::array<std::int64_t, overshoot_bins> counts{};
    std::int64_t edges = 0;
    for (int i = 0; i < contrast_bins; ++i) {
        const double contrast = first_contrast * std::exp2((i + 0.5) / 4);
        if (contrast < 12 * noise.sd_8bit) continue;
        const int of_noise =
            static_cast<int>(largest_of_six * noise.sd_8bit / contrast / most_overshoot * overshoot_bins);
        for (int j = 0; j < overshoot_bins; ++j) {
            const std::int64_t count = m_counts[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
            counts[static_cast<std::size_t>(std::max(0, j - of_noise))] += count;
            edges += count;
        }
    }
    if (edges < least_edges) return 0;
    std::int64_t seen = 0;
    for (int j = 0; j < overshoot_bins; ++j) {
        seen += counts[static_cast<std::size_t>(j)];
        if (2 * seen >= edges) return j == 0 ? 0 : (j + 0.5) * most_overshoot / overshoot_bins;
    }
    return 0;
}

}  // namespace hangtrue::picture
