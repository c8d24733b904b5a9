// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/design.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "engine/optics/mtf.h"
#include "engine/optics/vision.h"
#include "engine/sharpen/fit.h"

namespace hangtrue::sharpen {
namespace {

constexpr double highest_acutance = 1.02;  // Past it a print looks sharpened, not sharp.

// Encoded units. 0.04 is about 4 L*, before the print's own blur takes its share. The fades are wider than
// 1.125 times the overshoot limit, so that a result never passes white or black (see kernel.cpp).
constexpr double overshoot_limit = 0.04;
constexpr double highlight_fade = 0.08;
constexpr double shadow_fade = 0.06;

// Coring at this many standard deviations of what the filter adds to noise leaves noise within 10 % (tested).
constexpr double noise_multiples = 4;

double cycles_per_mm(const Situation& situation, double cycles_per_px) {
    return cycles_per_px * situation.ppi.value / base::millimetres_per_inch;
}

double enlarging_mtf(const Situation& situation, double cycles_per_px) {
    // At exactly 1 the resampler's phase is 0 and it gives the samples back.
    if (situation.enlarging == 1) return 1;
    return optics::lanczos3_mtf(cycles_per_px * std::max(situation.enlarging, 1.0));
}

// Falls smoothly from 1 at `from` to 0 at `to`.
double faded(double value, double from, double to) {
    const double t = std::clamp((value - from) / (to - from), 0.0, 1.0);
    return 1 - t * t * (3 - 2 * t);
}

double sensitivity(const Situation& situation, double cycles_per_px, base::Millimetres distance) {
    return optics::contrast_sensitivity(optics::at_the_eye(cycles_per_mm(situation, cycles_per_px), distance));
}

// How much of the lost contrast is given back: all where the eye sees it from the nearer distance, nothing
// where the print hardly shows it (MTF under 0.15) or the picture's pixels end.
double share_given_back(const Situation& situation, double f) {
    const double seen = sensitivity(situation, f, std::min(situation.closest_look, situation.design_distance));
    const double by_the_eye = seen / (seen + 1);
    const double print = optics::gaussian_mtf(optics::sigma_of_f50(situation.print_f50_cycles_per_mm),
                                              cycles_per_mm(situation, f));
    const double by_the_print = 1 - faded(print, 0.15, 0.25);
    const double by_the_pixels = faded(f / content_limit(situation), 0.8, 1.2);
    return by_the_eye * by_the_print * by_the_pixels;
}

std::vector<Wanted> wanted_response(const Situation& situation) {
    const double limit = content_limit(situation);
    std::vector<Wanted> wanted;
    constexpr int count = 96;
    double most_seen = 0;
    for (int i = 1; i <= count; ++i) {
        const double f = 0.5 * i / count;
        const double lost = std::min(1 / std::max(chain_mtf(situation, f), 1e-6), gain_limit);
        const double seen = sensitivity(situation, f, situation.closest_look) +
                            sensitivity(situation, f, situation.design_distance);
        wanted.push_back({f, 1 + (lost - 1) * share_given_back(situation, f), f <= limit ? seen : 0});
        most_seen = std::max(most_seen, wanted.back().weight);
    }
    // Beyond what can be seen or held the response is only kept from wandering.
    for (Wanted& each : wanted) each.weight = each.weight / most_seen + 0.01;
    return wanted;
}

double detail_noise(const Situation& situation, const Filter& filter) {
    // White noise of the picture, through the enlarging along both axes, then through response - 1. Integrated
    // over file frequencies; per file pixel the noise's density is enlarging^2 (or 1 where reduced).
    constexpr int count = 64;
    const double scale = std::max(situation.enlarging, 1.0);
    double sum = 0;
    for (int y = 0; y < count; ++y) {
        for (int x = 0; x < count; ++x) {
            const double fx = 0.5 * (x + 0.5) / count;
            const double fy = 0.5 * (y + 0.5) / count;
            const double passed = enlarging_mtf(situation, fx) * enlarging_mtf(situation, fy);
            const double added = passed * (response(filter, std::hypot(fx, fy)) - 1);
            sum += added * added;
        }
    }
    const double density = scale * scale * std::min(situation.enlarging, 1.0) * std::min(situation.enlarging, 1.0);
    return situation.picture_noise.sd_8bit / 255 * std::sqrt(density * sum / (count * count));
}

Filter scaled(Filter filter, double factor) {
    for (Term& term : filter.terms) term.gain *= factor;
    return filter;
}

// The largest factor up to `most` for which `holds`, which holds at 0 and fails monotonically.
template <typename Holds>
double largest_factor(double most, const Holds& holds) {
    if (holds(most)) return most;
    double low = 0;
    double high = most;
    for (int i = 0; i < 40; ++i) {
        const double middle = (low + high) / 2;
        (holds(middle) ? low : high) = middle;
    }
    return low;
}

std::string reason_for(const Situation& situation, const Design& design) {
    char text[400];
    const double metres = situation.closest_look.value / 1000;
    const int before = static_cast<int>(std::lround(100 * design.acutance_before));
    const int after = static_cast<int>(std::lround(100 * design.acutance_after));
    if (design.filter.is_off()) {
        std::snprintf(text, sizeof text,
                      situation.strength <= 0 ? "Not sharpened, as asked; from %.1f m %d %% of the visible crispness is left."
                                              : "Not sharpened: from %.1f m %d %% of the visible crispness is there as it is.",
                      metres, before);
        return text;
    }
    const char* cause = "The print";
    if (situation.enlarging > 1.02) cause = "Print and enlarging";
    if (situation.enlarging < 0.98) cause = "Print and reducing";
    std::snprintf(text, sizeof text,
                  "Sharpened for %s seen from %.1f m: %s leave %d %% of the crispness that the eye can see from "
                  "there, the sharpening brings it to %d %%.",
                  situation.surface.c_str(), metres, cause, before, after);
    return text;
}

}  // namespace

double chain_mtf(const Situation& situation, double cycles_per_px) {
    const double print = optics::gaussian_mtf(optics::sigma_of_f50(situation.print_f50_cycles_per_mm),
                                              cycles_per_mm(situation, cycles_per_px));
    const double picture = optics::gaussian_mtf(situation.picture_blur.sigma_px * situation.enlarging, cycles_per_px);
    return print * enlarging_mtf(situation, cycles_per_px) * picture;
}

double content_limit(const Situation& situation) { return 0.5 / std::max(situation.enlarging, 1.0); }

double simulated_acutance(const Situation& situation, const Filter& filter, base::Millimetres distance) {
    // Simpson over the frequencies that the pixels hold, in cycles a pixel.
    constexpr int intervals = 200;
    const double step = content_limit(situation) / intervals;
    double shown = 0;
    double whole = 0;
    for (int i = 1; i <= intervals; ++i) {
        const double f = i * step;
        const double simpson = i == intervals ? 1 : (i % 2 == 1 ? 4 : 2);
        const double weight = simpson * sensitivity(situation, f, distance);
        shown += weight * chain_mtf(situation, f) * response(filter, f);
        whole += weight;
    }
    return shown / whole;
}

Design designed(const Situation& situation) {
    Design design;
    design.acutance_before = simulated_acutance(situation, {}, situation.closest_look);
    design.acutance_after = design.acutance_before;
    if (situation.strength > 0 && design.acutance_before < 0.995) {
        Filter filter;
        filter.terms = fitted_terms(wanted_response(situation), gain_limit);
        const auto allowed = [&](double factor) {
            const Filter tried = scaled(filter, factor);
            return largest_response(tried) <= gain_limit &&
                   simulated_acutance(situation, tried, situation.closest_look) <= highest_acutance &&
                   simulated_acutance(situation, tried, situation.design_distance) <= highest_acutance;
        };
        filter = scaled(filter, largest_factor(situation.strength, allowed));
        filter.threshold = noise_multiples * detail_noise(situation, filter);
        filter.overshoot_limit = overshoot_limit;
        filter.highlight_fade = highlight_fade;
        filter.shadow_fade = shadow_fade;
        design.filter = filter;
        design.acutance_after = simulated_acutance(situation, filter, situation.closest_look);
        design.largest_gain = largest_response(filter);
    }
    design.reason = reason_for(situation, design);
    return design;
}

}  // namespace hangtrue::sharpen
