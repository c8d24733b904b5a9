// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/edge_blur.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "engine/optics/mtf.h"
#include "engine/optics/slanted_edge.h"
#include "engine/trial/bare_paper.h"
#include "engine/trial/median.h"

namespace hangtrue::trial {

namespace {

constexpr std::size_t strips = 12;
constexpr double bins_a_pixel = 4;       // ISO 12233: quarter pixels.
constexpr double least_contrast = 0.05;  // Of full light, between the edge's two sides.
constexpr double most_empty_bins = 0.1;
constexpr double most_overshoot = 1.1;
constexpr double most_difference = 1.35;  // Between the blurs of edges of one sheet.

// What of the rect is used: the parallelogram along the edge.
struct Used {
    double length = 0;  // Half, along.
    double room = 0;    // Half, across.
};

struct Line {
    double offset = 0;
    double slope = 0;
    double at(double along) const { return offset + slope * along; }
};

// Least squares, then once more without what lies furthest off.
Line fitted(const std::array<double, strips>& along, const std::array<double, strips>& offsets) {
    Line line;
    std::array<bool, strips> used{};
    used.fill(true);
    for (int round = 0; round < 2; ++round) {
        double n = 0, x = 0, y = 0, xx = 0, xy = 0;
        for (std::size_t i = 0; i < strips; ++i) {
            if (!used[i]) continue;
            n += 1;
            x += along[i];
            y += offsets[i];
            xx += along[i] * along[i];
            xy += along[i] * offsets[i];
        }
        line.slope = (n * xy - x * y) / std::max(n * xx - x * x, 1e-12);
        line.offset = (y - line.slope * x) / n;
        std::vector<double> off;
        for (std::size_t i = 0; i < strips; ++i) off.push_back(std::abs(offsets[i] - line.at(along[i])));
        const double reach = std::max(4 * median(off), 1e-6);
        for (std::size_t i = 0; i < strips; ++i) used[i] = off[i] <= reach;
    }
    return line;
}

std::size_t strip_of(const EdgeSample& sample, const Used& used) {
    const double share = (static_cast<double>(sample.along) + used.length) / (2 * used.length);
    return std::min(static_cast<std::size_t>(share * strips), strips - 1);
}

// Means over bins about the edge; empty bins take a straight line between their neighbours.
struct Profile {
    double bin = 0;
    std::vector<double> values;
    double empty_share = 0;  // In the inner half.
    double at(double across) const {
        const double place = across / bin + static_cast<double>(values.size()) / 2 - 0.5;
        const double held = std::clamp(place, 0.0, static_cast<double>(values.size() - 1) - 1e-9);
        const auto index = static_cast<std::size_t>(held);
        const double share = held - static_cast<double>(index);
        return values[index] * (1 - share) + values[index + 1] * share;
    }
};

Profile profile_of(std::span<const EdgeSample> samples, const Line& line, double bin, double room) {
    const auto half = static_cast<std::ptrdiff_t>(room / bin);
    Profile profile{bin, std::vector<double>(static_cast<std::size_t>(2 * half)), 0};
    std::vector<int> counts(profile.values.size());
    for (const EdgeSample& sample : samples) {
        const double distance = static_cast<double>(sample.across) - line.at(static_cast<double>(sample.along));
        const std::ptrdiff_t index = static_cast<std::ptrdiff_t>(std::floor(distance / bin)) + half;
        if (index < 0 || index >= 2 * half) continue;
        profile.values[static_cast<std::size_t>(index)] += static_cast<double>(sample.light);
        ++counts[static_cast<std::size_t>(index)];
    }
    std::vector<std::size_t> filled;
    for (std::size_t i = 0; i < counts.size(); ++i) {
        if (counts[i] == 0) continue;
        profile.values[i] /= counts[i];
        filled.push_back(i);
    }
    if (filled.size() < 2) {
        profile.empty_share = 1;
        return profile;
    }
    std::size_t empty = 0;
    for (std::size_t i = 0; i < counts.size(); ++i) {
        if (counts[i] > 0) continue;
        const auto quarter = counts.size() / 4;
        empty += i >= quarter && i < 3 * quarter ? 1 : 0;
        const auto next = std::ranges::upper_bound(filled, i);
        const std::size_t right = next == filled.end() ? filled.back() : *next;
        const std::size_t left = next == filled.begin() ? filled.front() : *(next - 1);
        const double share = right > left ? static_cast<double>(i - left) / static_cast<double>(right - left) : 0;
        profile.values[i] = profile.values[left] * (1 - share) + profile.values[right] * share;
    }
    profile.empty_share = 2 * static_cast<double>(empty) / static_cast<double>(counts.size());
    return profile;
}

// Where the edge crosses each strip: the mean over a window says how much of it is dark.
std::optional<Line> rough_line(std::span<const EdgeSample> samples, const Used& used, double dark, double light) {
    Line line;
    for (int round = 0; round < 3; ++round) {
        const double reach = 0.7 * used.room;
        std::array<double, strips> sums{}, counts{}, along{}, offsets{};
        for (const EdgeSample& sample : samples) {
            const auto at = static_cast<double>(sample.along);
            if (std::abs(static_cast<double>(sample.across) - line.at(at)) > reach) continue;
            const std::size_t strip = strip_of(sample, used);
            sums[strip] += static_cast<double>(sample.light);
            along[strip] += at;
            counts[strip] += 1;
        }
        for (std::size_t i = 0; i < strips; ++i) {
            if (counts[i] < 8) return std::nullopt;
            along[i] /= counts[i];
            const double share = (sums[i] / counts[i] - dark) / (light - dark);
            offsets[i] = line.at(along[i]) + reach * (1 - 2 * std::clamp(share, 0.0, 1.0));
        }
        line = fitted(along, offsets);
        if (std::abs(line.offset) > 0.5 * used.room) return std::nullopt;
    }
    return line;
}

// Each strip moved to where it fits the common profile best: one step of Gauss and Newton.
Line finer_line(std::span<const EdgeSample> samples, const Used& used, const Line& line, const Profile& profile) {
    std::array<double, strips> tops{}, bottoms{}, along{}, counts{}, offsets{};
    const double step = 2 * profile.bin;
    for (const EdgeSample& sample : samples) {
        const auto at = static_cast<double>(sample.along);
        const double distance = static_cast<double>(sample.across) - line.at(at);
        if (std::abs(distance) > 0.9 * used.room) continue;
        const double slope = (profile.at(distance + step) - profile.at(distance - step)) / (2 * step);
        const std::size_t strip = strip_of(sample, used);
        tops[strip] -= slope * (static_cast<double>(sample.light) - profile.at(distance));
        bottoms[strip] += slope * slope;
        along[strip] += at;
        counts[strip] += 1;
    }
    for (std::size_t i = 0; i < strips; ++i) {
        along[i] /= std::max(counts[i], 1.0);
        offsets[i] = line.at(along[i]) + (bottoms[i] > 0 ? tops[i] / bottoms[i] : 0);
    }
    return fitted(along, offsets);
}

// A square that gathers, seen across an edge at an angle to it.
double square_mtf(double width_x, double width_y, double frequency) {
    return optics::box_mtf(std::abs(width_x), frequency) * optics::box_mtf(std::abs(width_y), frequency);
}

}  // namespace

std::optional<EdgeBlur> blur_of(const Sheet& sheet, const SlantedEdge& edge, const Homography& to_picture,
                                std::span<const EdgeSample> all) {
    const EdgeFrame frame = frame_of(sheet, edge);
    const base::RealRect mm = in_mm(sheet, edge.rect);
    const double across_side = edge.is_vertical ? mm.width : mm.height;
    const double along_side = edge.is_vertical ? mm.height : mm.width;
    // The rect's own border is as blurred as the edge.
    const double inset = 0.08 * std::min(across_side, along_side);
    const double tangent = std::abs(frame.along.x * frame.along.y) /
                           std::max(frame.along.x * frame.along.x, frame.along.y * frame.along.y);
    Used used;
    used.length = along_side / 2 - inset;
    used.room = across_side / 2 - inset - used.length * tangent;
    if (used.length <= 0 || used.room <= 0) return std::nullopt;

    // Of the sheet's mm by the picture's pixel: how far a step to the right and down goes across the edge.
    const auto slopes = to_picture.inverse().slopes(to_picture(frame.middle));
    const double right = frame.across.x * slopes[0] + frame.across.y * slopes[2];
    const double down = frame.across.x * slopes[1] + frame.across.y * slopes[3];
    EdgeBlur result;
    result.is_vertical = edge.is_vertical;
    result.pixel_mm = std::hypot(right, down);
    const double bin = result.pixel_mm / bins_a_pixel;
    if (used.room < 4 * result.pixel_mm) return std::nullopt;

    std::vector<EdgeSample> samples;
    std::vector<double> darks;
    std::vector<double> lights;
    for (const EdgeSample& sample : all) {
        const auto across = static_cast<double>(sample.across);
        if (std::abs(static_cast<double>(sample.along)) > used.length || std::abs(across) > used.room) continue;
        samples.push_back(sample);
        if (across < -0.6 * used.room) darks.push_back(static_cast<double>(sample.light));
        if (across > 0.6 * used.room) lights.push_back(static_cast<double>(sample.light));
    }
    if (darks.size() < strips || lights.size() < strips) return std::nullopt;
    const double dark = median(std::move(darks));
    const double light = median(std::move(lights));
    if (light - dark < least_contrast) return std::nullopt;

    const auto rough = rough_line(samples, used, dark, light);
    if (!rough) return std::nullopt;
    Line line = *rough;
    Profile profile;
    for (int round = 0; round < 3; ++round) {
        profile = profile_of(samples, line, bin, used.room - std::abs(line.offset));
        if (profile.values.size() < 16 || profile.empty_share > most_empty_bins) return std::nullopt;
        if (round < 2) line = finer_line(samples, used, line, profile);
    }
    result.offset_mm = line.offset;

    // The whole profile tells how wide the edge is; then only what lies about the edge is used, so that noise is not.
    auto mtf = optics::profile_mtf(profile.values, bin);
    if (!mtf || mtf->f50() <= 0) return std::nullopt;
    const double reach = std::max(8 * optics::sigma_of_f50(mtf->f50()), 16 * bin);
    const auto half = static_cast<std::ptrdiff_t>(profile.values.size() / 2);
    const std::ptrdiff_t kept = std::min(half, static_cast<std::ptrdiff_t>(reach / bin));
    mtf = optics::profile_mtf(
        std::span(profile.values).subspan(static_cast<std::size_t>(half - kept), static_cast<std::size_t>(2 * kept)),
        bin);
    if (!mtf || mtf->f50() <= 0) return std::nullopt;
    result.seen_sigma_mm = optics::sigma_of_f50(mtf->f50());

    const double file_pixel = mm_a_pixel(sheet);
    // Distances were taken at right angles to where the edge should run.
    mtf->step *= std::hypot(1.0, line.slope);
    result.seen_sigma_mm /= std::hypot(1.0, line.slope);
    const double step = mtf->step;
    for (std::size_t i = 0; i < mtf->values.size(); ++i) {
        const double f = step * static_cast<double>(i);
        const double pixels =
            square_mtf(right, down, f) * square_mtf(file_pixel * frame.across.x, file_pixel * frame.across.y, f);
        mtf->values[i] /= std::max(pixels, 0.1);
    }
    result.f50 = mtf->f50();
    for (std::size_t i = 0; i < mtf->values.size() && step * static_cast<double>(i) < result.f50; ++i) {
        if (mtf->values[i] > most_overshoot) result.is_sharpened = true;
    }
    return result;
}

std::optional<double> medium_f50(std::span<const EdgeBlur> edges) {
    std::vector<double> upright;
    std::vector<double> level;
    for (const EdgeBlur& edge : edges) {
        if (edge.is_sharpened || edge.f50 <= 0) return std::nullopt;
        if (0.5 / edge.pixel_mm < needed_resolution * edge.f50) return std::nullopt;
        (edge.is_vertical ? upright : level).push_back(edge.f50);
    }
    if (upright.empty() || level.empty()) return std::nullopt;
    const auto [least, most] = std::ranges::minmax(edges, {}, &EdgeBlur::f50);
    if (most.f50 > most_difference * least.f50) return std::nullopt;
    const auto mean = [](const std::vector<double>& values) {
        double sum = 0;
        for (const double value : values) sum += std::log(value);
        return sum / static_cast<double>(values.size());
    };
    return std::exp((mean(upright) + mean(level)) / 2);
}

}  // namespace hangtrue::trial
