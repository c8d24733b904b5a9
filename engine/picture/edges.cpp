// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/edges.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>
#include <utility>

#include "engine/optics/noise.h"

namespace hangtrue::picture {
namespace {

constexpr int reach = 3;       // Slopes on each side of an edge's steepest that are its own.
constexpr int free_reach = 5;  // So far no other edge may turn back.
constexpr int margin = free_reach + 2;
constexpr std::array<float, 5> taps{1.0f / 16, 4.0f / 16, 6.0f / 16, 4.0f / 16, 1.0f / 16};  // Variance: one pixel.

// Noise of sd 1, seen in a slope and in a blurred slope; shares of each that lie below a quarter cycle a pixel.
constexpr double slope_variance = 2;
constexpr double slope_coarse_share = 0.18;
constexpr double blurred_variance = 28.0 / 256;
constexpr double blurred_coarse_share = 0.75;

constexpr double first_contrast = 12;  // Where the bins begin, four an octave.

constexpr float least_slope = 2.5f;  // In a softer one of the least contrast nothing is to be measured at this scale.

constexpr double sharpest_share = 0.25;

double step_at(double x, double sigma) {
    return sigma > 0 ? 0.5 * std::erfc(-x / (sigma * std::numbers::sqrt2)) : (x > 0 ? 1.0 : (x < 0 ? 0.0 : 0.5));
}

struct IdealEdge {
    double sigma = 0;
    double ratio = 0;   // Of the energy of its blurred slopes to that of its slopes, square root.
    double energy = 0;  // Of its slopes, for a step of height 1.
};

// A step blurred by a Gaussian, at all places between two pixels alike.
IdealEdge ideal_edge(double sigma) {
    constexpr int places = 16;
    double energy = 0;
    double blurred_energy = 0;
    for (int place = 0; place < places; ++place) {
        const double offset = (place + 0.5) / places - 0.5;
        const auto slope = [&](int i) { return step_at(i + 0.5 - offset, sigma) - step_at(i - 0.5 - offset, sigma); };
        for (int i = -reach; i <= reach; ++i) {
            double blurred = 0;
            for (int j = -2; j <= 2; ++j)
                blurred += static_cast<double>(taps[static_cast<std::size_t>(j + 2)]) * slope(i + j);
            energy += slope(i) * slope(i);
            blurred_energy += blurred * blurred;
        }
    }
    return {sigma, std::sqrt(blurred_energy / energy), energy / places};
}

constexpr double table_step = 0.02;
constexpr std::size_t table_size = 201;

using Table = std::array<IdealEdge, table_size>;

const Table& ideal_edges() {
    static const Table table = [] {
        Table edges;
        for (std::size_t i = 0; i < table_size; ++i) edges[i] = ideal_edge(table_step * static_cast<double>(i));
        return edges;
    }();
    return table;
}

// Between the table's entries; the ratio rises with sigma.
IdealEdge edge_of_ratio(double ratio) {
    const Table& table = ideal_edges();
    const auto above = std::ranges::lower_bound(table, ratio, {}, &IdealEdge::ratio);
    if (above == table.begin()) return table.front();
    if (above == table.end()) return table.back();
    const IdealEdge& high = *above;
    const IdealEdge& low = *(above - 1);
    const double along = (ratio - low.ratio) / (high.ratio - low.ratio);
    return {std::lerp(low.sigma, high.sigma, along), ratio, std::lerp(low.energy, high.energy, along)};
}

// Takes the noise's part from both energies.
double ratio_without_noise(double seen, double contrast, double slope_noise, double blurred_noise) {
    constexpr double slopes = 2 * reach;  // Of all 2 reach + 1 the outermost only where they rise.
    double ratio = seen;
    for (int i = 0; i < 4; ++i) {
        const double energy = contrast * contrast * edge_of_ratio(ratio).energy;
        const double blurred = seen * seen * (energy + slopes * slope_noise) - slopes * blurred_noise;
        ratio = std::sqrt(std::clamp(blurred / energy, 0.0, 1.0));
    }
    return ratio;
}

void halve(const Plane& plane, std::vector<float>& means) {
    const int width = plane.width / 2;
    means.clear();
    for (int y = 0; y + 1 < plane.height; y += 2) {
        const float* first = plane.row(y);
        const float* second = plane.row(y + 1);
        for (int x = 0; x < width; ++x) {
            means.push_back(0.25f * (first[2 * x] + first[2 * x + 1] + second[2 * x] + second[2 * x + 1]));
        }
    }
}

Plane halved_plane(const Plane& plane, const std::vector<float>& means) {
    return {means.data(), plane.width / 2, plane.height / 2, static_cast<std::size_t>(plane.width / 2)};
}

}  // namespace

void EdgeCounts::add_rows(const Plane& plane) {
    const int slopes = plane.width - 1;
    if (slopes < 2 * margin + 1 || plane.height < 2) return;
    m_slopes.resize(static_cast<std::size_t>(slopes));
    m_blurred.resize(static_cast<std::size_t>(slopes));
    for (int y = 0; y < plane.height; ++y) {
        const float* row = plane.row(y);
        const float* above = plane.row(std::max(y - 1, 0));
        const float* below = plane.row(std::min(y + 1, plane.height - 1));
        const float rows_apart = y > 0 && y + 1 < plane.height ? 2.0f : 1.0f;
        float* slope = m_slopes.data();
        float* blurred = m_blurred.data();
        for (int x = 0; x < slopes; ++x) slope[x] = row[x + 1] - row[x];
        for (int x = 2; x + 2 < slopes; ++x) {
            blurred[x] =
                taps[0] * (slope[x - 2] + slope[x + 2]) + taps[1] * (slope[x - 1] + slope[x + 1]) + taps[2] * slope[x];
        }
        for (int x = margin; x + margin < slopes; ++x) {
            const float height = std::abs(slope[x]);
            if (height < least_slope || height <= std::abs(slope[x - 1]) || height < std::abs(slope[x + 1])) continue;
            // Across the rows within 20 degrees: an edge that lies slanted is wider along the row than it is.
            const float along = std::abs(below[x] - above[x] + below[x + 1] - above[x + 1]) / (2 * rows_apart);
            if (along > 0.35f * height) continue;
            const float sign = slope[x] > 0 ? 1.0f : -1.0f;
            const float contrast = sign * (row[x + reach + 1] - row[x - reach]);
            if (contrast < static_cast<float>(first_contrast)) continue;
            float most = 0;
            float least = 0;
            for (int i = x - free_reach; i <= x + free_reach; ++i) {
                most = std::max(most, sign * blurred[i]);
                least = std::min(least, sign * blurred[i]);
            }
            if (least < -0.2f * most) continue;  // A line, or texture.
            float energy = 0;
            float blurred_energy = 0;
            for (int i = x - reach; i <= x + reach; ++i) {
                const float rise = std::max(sign * slope[i], 0.0f);
                const float blurred_rise = std::max(sign * blurred[i], 0.0f);
                energy += rise * rise;
                blurred_energy += blurred_rise * blurred_rise;
            }
            const float ratio = std::sqrt(blurred_energy / energy);
            const int ratio_bin = std::min(static_cast<int>(ratio * ratio_bins), ratio_bins - 1);
            const int contrast_bin = std::min(
                static_cast<int>(4 * std::log2(contrast / static_cast<float>(first_contrast))), contrast_bins - 1);
            ++m_counts[static_cast<std::size_t>(contrast_bin)][static_cast<std::size_t>(ratio_bin)];
        }
    }
}

Plane turned(const Plane& plane, std::vector<float>& buffer) {
    buffer.resize(static_cast<std::size_t>(plane.width) * static_cast<std::size_t>(plane.height));
    for (int x = 0; x < plane.width; ++x) {
        float* column = buffer.data() + static_cast<std::size_t>(x) * static_cast<std::size_t>(plane.height);
        for (int y = 0; y < plane.height; ++y) column[y] = plane.row(y)[x];
    }
    return {buffer.data(), plane.height, plane.width, static_cast<std::size_t>(plane.height)};
}

void EdgeCounts::add(const Plane& plane) {
    add_rows(plane);
    add_rows(turned(plane, m_turned));
}

EdgeCounts::Found EdgeCounts::sharpest(const optics::Noise& noise, const EdgeDemand& demand) const {
    const double coarse = std::pow(optics::noise_as_white(noise, 0), 2);
    const double fine = std::pow(optics::noise_as_white(noise, 0.5), 2);
    const double slope_noise = slope_variance * std::lerp(fine, coarse, slope_coarse_share);
    const double blurred_noise = blurred_variance * std::lerp(fine, coarse, blurred_coarse_share);
    const double least = std::max(demand.contrast, demand.contrast_to_noise * noise.sd_8bit);

    Found found;
    std::vector<std::pair<double, std::int64_t>> ratios;
    for (int i = 0; i < contrast_bins; ++i) {
        const double contrast = first_contrast * std::exp2((i + 0.5) / 4);
        if (contrast < least) continue;
        for (int j = 0; j < ratio_bins; ++j) {
            const std::int64_t count = m_counts[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
            if (count == 0) continue;
            ratios.emplace_back(ratio_without_noise((j + 0.5) / ratio_bins, contrast, slope_noise, blurred_noise),
                                count);
            found.edges += count;
        }
    }
    std::ranges::sort(ratios);
    std::int64_t seen = 0;
    for (const auto& [ratio, count] : ratios) {
        seen += count;
        if (static_cast<double>(seen) < sharpest_share * static_cast<double>(found.edges)) continue;
        found.sigma_px = edge_of_ratio(ratio).sigma;
        break;
    }
    return found;
}

void PictureEdges::add(const Plane& plane) {
    m_pixels += static_cast<std::int64_t>(plane.width) * plane.height;
    m_scales[0].add(plane);
    halve(plane, m_means);
    const Plane half = halved_plane(plane, m_means);
    m_scales[1].add(half);
    halve(half, m_means_of_means);
    m_scales[2].add(halved_plane(half, m_means_of_means));
}

optics::Blur PictureEdges::blur(const optics::Noise& noise) const {
    constexpr double widest = 1.6;  // Wider edges are seen whole at the next scale only.
    const EdgeDemand wanted{24, 20, std::max<std::int64_t>(24, m_pixels / 40'000)};
    const EdgeDemand least{12, 12, 12};
    for (const EdgeDemand& demand : {wanted, least}) {
        optics::Noise here = noise;
        double size = 1;  // Of the scale's pixels.
        for (const EdgeCounts& scale : m_scales) {
            const auto [edges, sigma] = scale.sharpest(here, demand);
            const bool is_last = &scale == &m_scales.back();
            if (edges >= demand.edges && (sigma <= widest || is_last)) {
                // A mean over pixels widens an edge by a box. No camera takes a sharper edge than its pixels, which
                // gather light over their width: where one is sharper it was sharpened, which brings no detail back.
                constexpr double pixel_variance = 1.0 / 12;
                const double variance = size * size * sigma * sigma - (size * size - 1) * pixel_variance;
                return {std::sqrt(std::max(variance, pixel_variance))};
            }
            // Of the noise the coarse part remains.
            here = {here.sd_8bit * std::sqrt(here.coarse_share), optics::white_coarse_share};
            size *= 2;
        }
    }
    return {};
}

}  // namespace hangtrue::picture
