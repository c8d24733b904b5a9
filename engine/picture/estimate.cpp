// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/estimate.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace hangtrue::picture {
namespace {

constexpr double kernel_norm = 6;  // Of Immerkaer's kernel (1996): the root of its sum of squares.

// Mean of |z| below its upper quartile q = 1.15035, z standard normal: 2 (phi(0) - phi(q)) / 0.75.
constexpr double lower_mean = 0.51490;

bool is_clipped(float luminance) { return luminance <= 0.5f || luminance >= 254.5f; }

double roughness(const Tile& tile, std::vector<float>& answers) {
    answers.clear();
    for (int y = 1; y + 1 < tile.height; ++y) {
        const float* above = tile.data + static_cast<std::size_t>(y - 1) * tile.stride;
        const float* here = above + tile.stride;
        const float* below = here + tile.stride;
        for (int x = 1; x + 1 < tile.width; ++x) {
            const auto second = [x](const float* row) { return row[x - 1] - 2 * row[x] + row[x + 1]; };
            answers.push_back(std::abs(second(above) - 2 * second(here) + second(below)));
        }
    }
    const auto count = static_cast<std::ptrdiff_t>(answers.size() * 3 / 4);
    std::nth_element(answers.begin(), answers.begin() + count, answers.end());
    // Sorted, so that the sum does not depend on how the library partitions.
    std::sort(answers.begin(), answers.begin() + count);
    const double sum = std::accumulate(answers.begin(), answers.begin() + count, 0.0);
    return sum / static_cast<double>(count) / (lower_mean * kernel_norm);
}

// Slopes are differences of neighbours; a difference gathers the slope over one pixel, which adds a box's variance.
constexpr double box_variance = 1.0 / 12;

// Noisy lines are smoothed by (1 4 6 4 1) / 16 first: its variance, and what it leaves of white noise in the slope.
constexpr double smoothing_variance = 1;
const double smoothed_slope_noise = std::sqrt(28.0) / 16;
const double plain_slope_noise = std::numbers::sqrt2;

// The share of a Gaussian's variance that is left where it is cut off at `floor` of its peak.
double variance_above(double floor) {
    const double end = std::sqrt(2 * std::log(1 / floor));
    const double density = std::exp(-end * end / 2) / std::sqrt(2 * std::numbers::pi);
    return 1 - 2 * end * density / std::erf(end / std::numbers::sqrt2);
}

}  // namespace

std::optional<TileRoughness> tile_roughness(const Tile& tile) {
    if (tile.width < 12 || tile.height < 12) return std::nullopt;
    int clipped = 0;
    for (int y = 0; y < tile.height; ++y) {
        for (int x = 0; x < tile.width; ++x) clipped += is_clipped(tile.at(x, y));
    }
    if (clipped * 100 > tile.width * tile.height) return std::nullopt;

    std::vector<float> answers;
    const int half_width = tile.width / 2;
    const int half_height = tile.height / 2;
    std::vector<float> means;
    means.reserve(static_cast<std::size_t>(half_width) * static_cast<std::size_t>(half_height));
    for (int y = 0; y < half_height; ++y) {
        for (int x = 0; x < half_width; ++x) {
            means.push_back(0.25f * (tile.at(2 * x, 2 * y) + tile.at(2 * x + 1, 2 * y) + tile.at(2 * x, 2 * y + 1) +
                                     tile.at(2 * x + 1, 2 * y + 1)));
        }
    }
    return TileRoughness{roughness(tile, answers),
                         roughness({means.data(), half_width, half_height, static_cast<std::size_t>(half_width)}, answers)};
}

optics::Noise noise_of(std::vector<TileRoughness> tiles) {
    if (tiles.empty()) return {};
    // The fifth that is quietest in its coarser detail: where nothing but noise is. Chosen by the coarse value, so
    // that the fine one is not picked for being small by chance.
    std::ranges::sort(tiles, [](const TileRoughness& a, const TileRoughness& b) {
        return a.coarse != b.coarse ? a.coarse < b.coarse : a.fine < b.fine;
    });
    tiles.resize(std::max<std::size_t>(1, tiles.size() / 5));
    double fine = 0;
    double coarse = 0;
    for (const TileRoughness& tile : tiles) {
        fine += tile.fine * tile.fine;
        coarse += tile.coarse * tile.coarse;
    }
    const auto count = static_cast<double>(tiles.size());
    // fine = noise + texture, coarse = noise / 4 + texture at least; the choice makes the noise's part of coarse
    // about 0.16 instead of 1/4 (measured on white noise).
    constexpr double coarse_share = 0.16;
    const double noise = (fine - coarse) / count / (1 - coarse_share);
    return {std::sqrt(std::max(noise, 0.0))};
}

void EdgeWidths::add_line(std::span<const float> line, double noise_sd) {
    constexpr int reach = 12;
    constexpr double quiet = 0.35;  // 8-bit rounding alone is 0.29.
    const bool is_noisy = noise_sd > quiet;
    if (line.size() < 7) return;
    if (is_noisy) {
        m_smoothed.assign(line.begin(), line.end());
        for (std::size_t x = 2; x + 2 < line.size(); ++x) {
            m_smoothed[x] = (line[x - 2] + 4 * line[x - 1] + 6 * line[x] + 4 * line[x + 1] + line[x + 2]) / 16;
        }
        line = m_smoothed;
    }
    const auto slope_noise = static_cast<float>(noise_sd * (is_noisy ? smoothed_slope_noise : plain_slope_noise));
    const auto least_contrast = static_cast<float>(std::max(24.0, 16 * noise_sd));
    const auto least_peak = std::max(least_contrast / 12, 8 * slope_noise);
    const double known_variance = box_variance + (is_noisy ? smoothing_variance : 0);

    const int last = static_cast<int>(line.size()) - 1;
    const float* values = line.data();
    const auto slope = [values](int x) { return values[x + 1] - values[x]; };
    for (int x = 1; x + 1 < last; ++x) {
        const float peak = slope(x);
        const float height = std::abs(peak);
        if (height < least_peak) continue;
        const float sign = peak > 0 ? 1.0f : -1.0f;
        if (sign * slope(x - 1) > height || sign * slope(x + 1) >= height) continue;
        // The step reaches as far as its slope stays above a small part of the peak and does not rise again.
        const float floor = std::max(0.05f * height, 1.5f * slope_noise);
        const auto goes_on = [&](int from, int to) {
            return sign * slope(to) > floor && sign * slope(to) <= sign * slope(from) + slope_noise;
        };
        int left = x;
        while (left > 0 && x - left < reach && goes_on(left, left - 1)) --left;
        int right = x;
        while (right + 1 < last && right - x < reach && goes_on(right, right + 1)) ++right;
        const bool is_cut = left == 0 || right + 1 == last || x - left == reach || right - x == reach;
        if (is_cut) continue;
        float sum = 0;
        float first = 0;
        float second = 0;
        for (int i = left; i <= right; ++i) {
            const float weight = sign * slope(i);
            const auto offset = static_cast<float>(i - x);
            sum += weight;
            first += weight * offset;
            second += weight * offset * offset;
        }
        if (sum < least_contrast) continue;
        const double mean = static_cast<double>(first / sum);
        const double seen = static_cast<double>(second / sum) - mean * mean;
        const double variance = seen / variance_above(static_cast<double>(floor / height)) - known_variance;
        const double sigma = std::sqrt(std::max(variance, 0.0));
        const auto bin = static_cast<std::size_t>(sigma * bins_per_px);
        ++m_counts[std::min(bin, m_counts.size() - 1)];
    }
}

void EdgeWidths::add(const Tile& tile, optics::Noise noise) {
    for (int y = 0; y < tile.height; ++y) {
        add_line({tile.data + static_cast<std::size_t>(y) * tile.stride, static_cast<std::size_t>(tile.width)}, noise.sd_8bit);
    }
    std::vector<float> column(static_cast<std::size_t>(tile.height));
    for (int x = 0; x < tile.width; ++x) {
        for (int y = 0; y < tile.height; ++y) column[static_cast<std::size_t>(y)] = tile.at(x, y);
        add_line(column, noise.sd_8bit);
    }
}

optics::Blur EdgeWidths::sharpest() const {
    const std::int64_t all = std::accumulate(m_counts.begin(), m_counts.end(), std::int64_t{0});
    std::int64_t seen = 0;
    for (std::size_t bin = 0; bin < m_counts.size(); ++bin) {
        seen += m_counts[bin];
        if (all > 0 && seen * 4 >= all) return {(static_cast<double>(bin) + 0.5) / bins_per_px};
    }
    return {};
}

}  // namespace hangtrue::picture
