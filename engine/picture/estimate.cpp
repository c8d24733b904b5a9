// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/estimate.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace hangtrue::picture {
namespace {

constexpr double normal_median = 0.6744898;  // Of |z|, z standard normal.
constexpr double kernel_norm = 6;            // Immerkaer 1996: sqrt of the sum of squares.

bool is_clipped(float luminance) { return luminance <= 0.5f || luminance >= 254.5f; }

// Differences of neighbours along a line; a pixel gathers light over its width, so the slope of a Gaussian edge
// is the Gaussian smoothed by a box, whose variance is 1/12.
constexpr double box_variance = 1.0 / 12;

void add_line_edges(std::span<const float> line, float least_contrast, std::vector<EdgeWidth>& edges) {
    constexpr int reach = 10;
    const int last = static_cast<int>(line.size()) - 1;
    const auto slope = [&](int x) { return line[static_cast<std::size_t>(x + 1)] - line[static_cast<std::size_t>(x)]; };
    for (int x = 1; x + 1 < last; ++x) {
        const float peak = slope(x);
        const float height = std::abs(peak);
        if (height * 8 < least_contrast) continue;
        const float sign = peak > 0 ? 1.0f : -1.0f;
        if (sign * slope(x - 1) > height || sign * slope(x + 1) >= height) continue;
        // The step reaches as far as the slope stays above a twentieth of its peak.
        const float floor = 0.05f * height;
        int left = x;
        while (left > 0 && x - left < reach && sign * slope(left - 1) > floor && sign * slope(left - 1) <= sign * slope(left)) --left;
        int right = x;
        while (right + 1 < last && right - x < reach && sign * slope(right + 1) > floor && sign * slope(right + 1) <= sign * slope(right)) ++right;
        if (x - left == reach || right - x == reach) continue;
        if (left == 0 || right + 1 == last) continue;
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
        const double mean = first / sum;
        const double variance = second / sum - mean * mean - box_variance;
        edges.push_back({static_cast<float>(std::sqrt(std::max(variance, 0.0))), sum});
    }
}

}  // namespace

std::optional<double> tile_noise(const Tile& tile) {
    if (tile.width < 8 || tile.height < 8) return std::nullopt;
    std::vector<float> responses;
    responses.reserve(static_cast<std::size_t>(tile.width) * static_cast<std::size_t>(tile.height));
    int clipped = 0;
    for (int y = 1; y + 1 < tile.height; ++y) {
        for (int x = 1; x + 1 < tile.width; ++x) {
            const auto second = [&](int row) { return tile.at(x - 1, row) - 2 * tile.at(x, row) + tile.at(x + 1, row); };
            responses.push_back(std::abs(second(y - 1) - 2 * second(y) + second(y + 1)));
            clipped += is_clipped(tile.at(x, y));
        }
    }
    if (clipped * 100 > static_cast<int>(responses.size())) return std::nullopt;
    const auto middle = responses.begin() + static_cast<std::ptrdiff_t>(responses.size() / 2);
    std::nth_element(responses.begin(), middle, responses.end());
    return static_cast<double>(*middle) / (normal_median * kernel_norm);
}

void add_edges(const Tile& tile, double noise, std::vector<EdgeWidth>& edges) {
    const auto least_contrast = static_cast<float>(std::max(24.0, 16 * noise));
    std::vector<float> column(static_cast<std::size_t>(tile.height));
    for (int y = 0; y < tile.height; ++y) {
        add_line_edges({tile.data + static_cast<std::size_t>(y) * tile.stride, static_cast<std::size_t>(tile.width)},
                       least_contrast, edges);
    }
    for (int x = 0; x < tile.width; ++x) {
        for (int y = 0; y < tile.height; ++y) column[static_cast<std::size_t>(y)] = tile.at(x, y);
        add_line_edges(column, least_contrast, edges);
    }
}

optics::Noise noise_of(std::vector<double> tiles) {
    if (tiles.empty()) return {};
    const auto tenth = tiles.begin() + static_cast<std::ptrdiff_t>(tiles.size() / 10);
    std::nth_element(tiles.begin(), tenth, tiles.end());
    return {*tenth};
}

optics::Blur blur_of(std::vector<EdgeWidth> edges) {
    if (edges.empty()) return {};
    const auto sharpest = edges.begin() + static_cast<std::ptrdiff_t>(edges.size() / 4);
    std::nth_element(edges.begin(), sharpest, edges.end(),
                     [](const EdgeWidth& a, const EdgeWidth& b) { return a.sigma_px < b.sigma_px; });
    return {static_cast<double>(sharpest->sigma_px)};
}

}  // namespace hangtrue::picture
