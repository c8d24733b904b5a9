// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/edge_blur.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "engine/optics/mtf.h"
#include "engine/trial/bare_paper.h"
#include "engine/trial/edge_profile.h"
#include "engine/trial/median.h"

namespace hangtrue::trial {

namespace {

constexpr double least_contrast = 0.05;  // Of full light, between the edge's two sides.
constexpr double least_left = 0.1;       // What is divided by.
constexpr double most_overshoot = 1.1;
constexpr double most_difference = 1.35;  // Between the blurs of edges of one sheet.

// Where the edge crosses each strip: the mean over a window says how much of it is dark.
std::optional<EdgeLine> rough_line(std::span<const EdgeSample> samples, const EdgeRoom& used, double dark,
                                   double light) {
    EdgeLine line;
    for (int round = 0; round < 3; ++round) {
        const double reach = 0.7 * used.across;
        StripValues sums{}, counts{}, along{}, offsets{};
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
        line = fitted_line(along, offsets, false);
        if (std::abs(line.offset) > 0.5 * used.across) return std::nullopt;
    }
    return line;
}

// A square that gathers, seen across an edge at an angle to it.
double square_mtf(double width_x, double width_y, double frequency) {
    return optics::box_mtf(std::abs(width_x), frequency) * optics::box_mtf(std::abs(width_y), frequency);
}

// The edge's MTF50 with the device taken out as the Gaussian of its own MTF50. Of the paper's cut that needs one
// figure, which noise, a table's pattern and coding hardly touch. By the formulas a square pixel's MTF keeps within
// 0.02 of that Gaussian as far as pixels resolve and needed_contrast asks, with a lens before it within 0.01, with one
// out of focus by a pixel within 0.03.
std::optional<double> f50_without(const EdgeBlur& edge, double own_px) {
    const double sigma = own_px * edge.pixel_mm;
    optics::EdgeMtf print = edge.print_and_device;
    for (std::size_t i = 0; i < print.values.size(); ++i) {
        print.values[i] /= std::max(optics::gaussian_mtf(sigma, print.step * static_cast<double>(i)), least_left);
    }
    const double f50 = print.f50();
    if (f50 <= 0 || f50 >= 0.5 / edge.pixel_mm) return std::nullopt;
    if (optics::gaussian_mtf(sigma, f50) < needed_contrast) return std::nullopt;
    for (std::size_t i = 0; i < print.values.size() && print.step * static_cast<double>(i) < f50; ++i) {
        if (print.values[i] > most_overshoot) return std::nullopt;
    }
    return f50;
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
    EdgeRoom used;
    used.length = along_side / 2 - inset;
    used.across = across_side / 2 - inset - used.length * tangent;
    if (used.length <= 0 || used.across <= 0) return std::nullopt;

    const auto [right, down] = pixel_across(frame, to_picture, frame.middle);
    EdgeBlur result;
    result.is_vertical = edge.is_vertical;
    result.pixel_mm = std::hypot(right, down);
    const double bin = result.pixel_mm / bins_a_pixel;
    if (used.across < 4 * result.pixel_mm) return std::nullopt;

    std::vector<EdgeSample> samples;
    std::vector<double> darks;
    std::vector<double> lights;
    for (const EdgeSample& sample : all) {
        const auto across = static_cast<double>(sample.across);
        if (std::abs(static_cast<double>(sample.along)) > used.length || std::abs(across) > used.across) continue;
        samples.push_back(sample);
        if (across < -0.6 * used.across) darks.push_back(static_cast<double>(sample.light));
        if (across > 0.6 * used.across) lights.push_back(static_cast<double>(sample.light));
    }
    if (darks.size() < strips || lights.size() < strips) return std::nullopt;
    const double dark = median(std::move(darks));
    const double light = median(std::move(lights));
    if (light - dark < least_contrast) return std::nullopt;

    const auto rough = rough_line(samples, used, dark, light);
    if (!rough) return std::nullopt;
    EdgeLine line = *rough;
    EdgeProfile profile;
    for (int round = 0; round < 3; ++round) {
        profile = profile_of(samples, line, bin, used.across - std::abs(line.offset));
        if (profile.values.size() < 16 || profile.empty_share > most_empty_bins) return std::nullopt;
        if (round < 2) line = finer_line(samples, used, line, profile, false);
    }
    result.offset_mm = line.offset;

    auto mtf = mtf_about(profile, line);
    if (!mtf) return std::nullopt;
    result.seen_sigma_mm = optics::sigma_of_f50(mtf->f50());

    const double file_pixel = mm_a_pixel(sheet);
    for (std::size_t i = 0; i < mtf->values.size(); ++i) {
        const double f = mtf->step * static_cast<double>(i);
        const double pixels = square_mtf(file_pixel * frame.across.x, file_pixel * frame.across.y, f);
        mtf->values[i] /= std::max(pixels, least_left);
    }
    result.print_and_device = *mtf;
    for (std::size_t i = 0; i < mtf->values.size(); ++i) {
        mtf->values[i] /= std::max(square_mtf(right, down, mtf->step * static_cast<double>(i)), least_left);
    }
    result.f50 = mtf->f50();
    for (std::size_t i = 0; i < mtf->values.size() && mtf->step * static_cast<double>(i) < result.f50; ++i) {
        if (mtf->values[i] > most_overshoot) result.is_sharpened = true;
    }
    return result;
}

std::optional<double> medium_f50(std::span<const EdgeBlur> edges, const OwnBlur& own) {
    const bool is_own_known = own.vertical_px && own.horizontal_px;
    std::vector<double> upright;
    std::vector<double> level;
    for (const EdgeBlur& edge : edges) {
        if (edge.is_sharpened || edge.f50 <= 0) return std::nullopt;
        std::optional<double> f50;
        if (is_own_known) {
            f50 = f50_without(edge, edge.is_vertical ? *own.vertical_px : *own.horizontal_px);
        } else if (0.5 / edge.pixel_mm >= needed_resolution * edge.f50) {
            f50 = edge.f50;
        }
        if (!f50) return std::nullopt;
        (edge.is_vertical ? upright : level).push_back(*f50);
    }
    if (upright.empty() || level.empty()) return std::nullopt;
    const auto least = std::min(std::ranges::min(upright), std::ranges::min(level));
    const auto most = std::max(std::ranges::max(upright), std::ranges::max(level));
    if (most > most_difference * least) return std::nullopt;
    const auto mean = [](const std::vector<double>& values) {
        double sum = 0;
        for (const double value : values) sum += std::log(value);
        return sum / static_cast<double>(values.size());
    };
    return std::exp((mean(upright) + mean(level)) / 2);
}

}  // namespace hangtrue::trial
