// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/own_blur.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "engine/optics/mtf.h"
#include "engine/trial/edge_profile.h"

namespace hangtrue::trial {

namespace {

constexpr double least_contrast = 0.1;   // Of full light: the cut's noise and its surroundings weigh the more.
constexpr double coarse_bin_mm = 0.1;    // For finding the cut, or one and a half pixels…
constexpr std::size_t coarse_reach = 3;  // …as the steepest step between so many bins and so many.
constexpr double most_off_line = 3;      // Coarse bins.
constexpr std::size_t least_strips = 9;  // On one line.
constexpr double most_room_mm = 1.5;
constexpr double least_room_mm = 0.8;
// Of the contrast: what the levelled profile may be beside nothing outside and one inside. A penumbra or a bevel is
// more, and so is sharpening that is not the same for every contrast.
constexpr double most_aside = 0.04;
constexpr double most_slope_change = 0.35;  // Of the contrast, over the room: what levelling may take away.
// Between the device's MTF and the Gaussian of its MTF50, up to that: lenses and pixels keep within 0.03. Sharpening
// lifts the middle.
constexpr double most_off_gaussian = 0.05;
// A pixel's own aperture alone has the MTF50 of a Gaussian of 0.31; what is sharper was sharpened.
constexpr double least_sigma_px = 0.25;
constexpr double most_sigma_px = 3;
constexpr double most_difference = 1.25;  // Between opposite sides.

// The cut, where each strip's light steps most steeply from dark to light. `width`: of a bin, mm.
std::optional<EdgeLine> found_cut(std::span<const EdgeSample> samples, const PaperSide& side, double width) {
    const auto bins = static_cast<std::size_t>((side.outside + side.inside) / width);
    if (bins < 4 * coarse_reach) return std::nullopt;
    std::vector<double> sums(strips * bins), counts(strips * bins);
    const EdgeRoom room{side.length, 0};
    for (const EdgeSample& sample : samples) {
        const auto bin = static_cast<std::ptrdiff_t>((static_cast<double>(sample.across) + side.outside) / width);
        if (bin < 0 || std::cmp_greater_equal(bin, bins)) continue;
        const std::size_t at = strip_of(sample, room) * bins + static_cast<std::size_t>(bin);
        sums[at] += static_cast<double>(sample.light);
        counts[at] += 1;
    }
    StripValues along{}, offsets{};
    for (std::size_t strip = 0; strip < strips; ++strip) {
        along[strip] = side.length * ((2 * static_cast<double>(strip) + 1) / strips - 1);
        double most = 0;
        std::optional<std::size_t> steepest;
        for (std::size_t i = coarse_reach; i + coarse_reach <= bins; ++i) {
            double step = 0;
            double empty = 0;
            for (std::size_t j = 0; j < coarse_reach; ++j) {
                const std::size_t above = strip * bins + i + j, below = strip * bins + i - 1 - j;
                if (counts[above] == 0 || counts[below] == 0) {
                    empty += 1;
                    continue;
                }
                step += sums[above] / counts[above] - sums[below] / counts[below];
            }
            if (empty > 0 || step <= most) continue;
            most = step;
            steepest = i;
        }
        if (!steepest) return std::nullopt;
        offsets[strip] = static_cast<double>(*steepest) * width - side.outside;
    }
    const EdgeLine line = fitted_line(along, offsets, true);
    std::size_t on_line = 0;
    for (std::size_t i = 0; i < strips; ++i) {
        on_line += std::abs(offsets[i] - line.at(along[i])) < most_off_line * width ? 1 : 0;
    }
    if (on_line < least_strips) return std::nullopt;
    return line;
}

// A polynomial of the profile from `first` to `last` mm.
Eigen::VectorXd trend(const EdgeProfile& profile, double first, double last, Eigen::Index terms) {
    std::vector<std::size_t> used;
    for (std::size_t i = 0; i < profile.values.size(); ++i) {
        if (profile.place(i) >= first && profile.place(i) <= last) used.push_back(i);
    }
    if (used.size() < static_cast<std::size_t>(4 * terms)) return {};
    Eigen::MatrixXd rows(static_cast<Eigen::Index>(used.size()), terms);
    Eigen::VectorXd wanted(static_cast<Eigen::Index>(used.size()));
    for (std::size_t i = 0; i < used.size(); ++i) {
        const auto row = static_cast<Eigen::Index>(i);
        for (Eigen::Index term = 0; term < terms; ++term) {
            rows(row, term) = std::pow(profile.place(used[i]), static_cast<double>(term));
        }
        wanted(row) = profile.values[used[i]];
    }
    return rows.colPivHouseholderQr().solve(wanted);
}

double value_of(const Eigen::VectorXd& trend, double place) {
    double value = 0;
    for (Eigen::Index term = trend.size(); term-- > 0;) value = value * place + trend(term);
    return value;
}

// From nothing outside to one inside: a table's pattern and a lamp's fall-off are trends on either side of the cut.
std::optional<EdgeProfile> levelled(const EdgeProfile& profile, double reach, double room) {
    const auto outside = trend(profile, -room, -reach, 3);
    const auto inside = trend(profile, reach, room, 2);
    if (outside.size() == 0 || inside.size() == 0) return std::nullopt;
    const double contrast = value_of(inside, 0) - value_of(outside, 0);
    if (contrast < least_contrast) return std::nullopt;
    for (const auto& [of, far] : {std::pair{&outside, -room}, std::pair{&inside, room}}) {
        for (const double place : {far, far / 2}) {
            if (std::abs(value_of(*of, place) - value_of(*of, 0)) > most_slope_change * contrast) return std::nullopt;
        }
    }
    EdgeProfile level = profile;
    for (std::size_t i = 0; i < level.values.size(); ++i) {
        const double dark = value_of(outside, profile.place(i));
        const double light = value_of(inside, profile.place(i));
        level.values[i] = (profile.values[i] - dark) / std::max(light - dark, 0.5 * contrast);
    }
    return level;
}

// Where the levelled profile first comes to one half.
double crossing(const EdgeProfile& level) {
    for (std::size_t i = level.values.size() / 4; i + 1 < level.values.size(); ++i) {
        const double here = level.values[i], next = level.values[i + 1];
        if (next < 0.5 || next <= here) continue;
        return level.place(i) + level.bin * std::clamp((0.5 - here) / (next - here), 0.0, 1.0);
    }
    return 0;
}

// In picture pixels.
std::optional<double> seen_blur(const PaperSide& side, const Homography& to_picture,
                                std::span<const EdgeSample> samples) {
    if (side.length <= 0 || samples.size() < 16 * strips) return std::nullopt;
    const auto pixel_at = [&](Point place) {
        const Point steps = pixel_across(side.frame, to_picture, place);
        return std::hypot(steps.x, steps.y);
    };
    const double coarse_bin = std::max(coarse_bin_mm, 1.5 * pixel_at(side.frame.middle));
    auto line = found_cut(samples, side, coarse_bin);
    if (!line) return std::nullopt;
    const Point cut{side.frame.middle.x + side.frame.across.x * line->offset,
                    side.frame.middle.y + side.frame.across.y * line->offset};
    const double pixel = pixel_at(cut);
    const double bin = pixel / bins_a_pixel;
    const double bow = std::abs(line->slope) * side.length;
    const EdgeRoom room{side.length,
                        std::min({most_room_mm, side.outside + line->offset - bow, side.inside - line->offset - bow})};
    if (room.across < std::max(least_room_mm, 10 * pixel)) return std::nullopt;

    const double reach = std::max(5 * pixel, 3 * coarse_bin);
    std::optional<EdgeProfile> level;
    std::optional<optics::EdgeMtf> mtf;
    for (int round = 0; round < 5; ++round) {
        const EdgeProfile profile = profile_of(samples, *line, bin, room.across);
        if (profile.values.size() < 16 || profile.empty_share > most_empty_bins) return std::nullopt;
        level = levelled(profile, std::min(reach, room.across / 2), room.across);
        if (!level) return std::nullopt;
        if (round < 4) {
            const double off = crossing(*level);
            // The strips are told apart by the profile as it stands; then all move by what it stands off.
            line = finer_line(samples, room, *line, profile, true);
            line->offset += off;
            continue;
        }
        mtf = mtf_about(*level, *line);
    }
    if (!mtf) return std::nullopt;
    const double sigma = optics::sigma_of_f50(mtf->f50());
    for (std::size_t i = 0; i < level->values.size(); ++i) {
        const double place = level->place(i), value = level->values[i];
        if (value < -most_aside || value > 1 + most_aside) return std::nullopt;
        if (place < -4 * sigma && value > most_aside) return std::nullopt;
        if (place > 4 * sigma && value < 1 - most_aside) return std::nullopt;
    }
    for (double f = mtf->step; f < mtf->f50(); f += mtf->step) {
        if (std::abs(mtf->at(f) - optics::gaussian_mtf(sigma, f)) > most_off_gaussian) return std::nullopt;
    }
    const double px = sigma / pixel;
    if (px < least_sigma_px || px > most_sigma_px) return std::nullopt;
    return px;
}

// The geometric mean of two sides, or the one that told.
std::optional<double> agreed(const std::optional<double>& one, const std::optional<double>& other) {
    if (!one || !other) return one ? one : other;
    if (std::max(*one, *other) > most_difference * std::min(*one, *other)) return std::nullopt;
    return std::sqrt(*one * *other);
}

}  // namespace

OwnBlur own_blur(const Sheet& sheet, const Homography& to_picture,
                 const std::array<std::vector<EdgeSample>, 4>& sides) {
    std::array<std::optional<double>, 4> seen;
    for (std::size_t i = 0; i < 4; ++i) seen[i] = seen_blur(side_of(sheet, to_picture, i), to_picture, sides[i]);
    return {agreed(seen[0], seen[2]), agreed(seen[1], seen[3])};
}

}  // namespace hangtrue::trial
