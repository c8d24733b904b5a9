// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/design.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/units_text.h"
#include "engine/optics/mtf.h"
#include "engine/optics/noise.h"
#include "engine/optics/vision.h"
#include "engine/sharpen/fit.h"

namespace hangtrue::sharpen {
namespace {

constexpr double highest_acutance = 1.02;  // Past it a print looks sharpened, not sharp.

// No frequency that the picture holds may come out stronger than this share of what it was. The larger ones are for
// pictures so soft that at the gain limit the finest detail stays lost: coarser detail then makes up for it, until
// the gap in acutance is closed as far as it should be.
constexpr std::array highest_contrasts{1.08, 1.2, 1.35};
constexpr double gap_to_close = 0.6;

// Encoded units. 0.04 is about 4 L*, before the print's own blur takes its share. The room that the limit leaves
// above a neighbour of luminance 1 - t fade is at most 1.5 * limit * t^2 (3 - 2 t) <= 1.6875 * limit * t: with
// fades wider than 1.6875 times the limit a result never passes white or black.
constexpr double overshoot_limit = 0.04;
constexpr double highlight_fade = 0.08;
constexpr double shadow_fade = 0.07;

// Coring at this many standard deviations of what the filter adds to noise leaves noise within 10 % (tested). Coded
// noise comes in lumps (a kurtosis of 5 instead of 3 in a JPEG's sky), so that more of it stands out.
constexpr double noise_multiples = 3.5;
constexpr double lumpy_noise_multiples = 5;

double cycles_per_mm(const Situation& situation, double cycles_per_px) {
    return cycles_per_px * situation.ppi.value / base::millimetres_per_inch;
}

double resampling_mtf(double enlarging, double cycles_per_px) {
    // At exactly 1 the resampler's phase is 0 and it gives the samples back.
    if (enlarging == 1) return 1;
    const int lobes = enlarging > 1 ? 4 : 3;  // as engine/enlarge resamples
    return optics::lanczos_mtf(lobes, cycles_per_px * std::max(enlarging, 1.0));
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
    const double print =
        optics::gaussian_mtf(optics::sigma_of_f50(situation.print_f50_cycles_per_mm), cycles_per_mm(situation, f));
    const double by_the_print = 1 - faded(print, 0.15, 0.25);
    const double by_the_pixels = faded(f / content_limit(situation), 0.8, 1.2);
    return by_the_eye * by_the_print * by_the_pixels;
}

std::vector<Wanted> wanted_response(const Situation& situation, double highest_contrast) {
    const double limit = content_limit(situation);
    std::vector<Wanted> wanted;
    constexpr int count = 96;
    double most_seen = 0;
    for (int i = 1; i <= count; ++i) {
        const double f = 0.5 * i / count;
        const double lost = std::min(1 / std::max(chain_mtf(situation, f), 1e-6), gain_limit);
        const double most = f <= limit ? std::min(highest_contrast * lost, gain_limit) : gain_limit;
        const double seen =
            sensitivity(situation, f, situation.closest_look) + sensitivity(situation, f, situation.design_distance);
        wanted.push_back({f, 1 + (lost - 1) * share_given_back(situation, f), most, f <= limit ? seen : 0});
        most_seen = std::max(most_seen, wanted.back().weight);
    }
    // Beyond what can be seen or held the response is only kept from wandering.
    for (Wanted& each : wanted) each.weight = each.weight / most_seen + 0.01;
    return wanted;
}

double detail_noise(const Situation& situation, const Filter& filter) {
    // Noise of the picture, through the enlarging along both axes, then through response - 1, integrated over the
    // file's frequencies, where its density is enlarging^2 times that in the picture's. A network's result gets the
    // grain of the picture, enlarged: nothing beyond the picture's own frequencies.
    constexpr std::size_t count = 64;
    const auto frequency = [](std::size_t i) { return 0.5 * (static_cast<double>(i) + 0.5) / count; };
    std::array<double, count> passed{};
    for (std::size_t i = 0; i < count; ++i) passed[i] = resampling_mtf(situation.enlarging, frequency(i));
    double sum = 0;
    for (std::size_t y = 0; y < count; ++y) {
        for (std::size_t x = 0; x < count; ++x) {
            const double f = std::hypot(frequency(x), frequency(y));
            const double noise = optics::noise_as_white(situation.picture_noise, f * situation.enlarging) / 255;
            const double added = passed[x] * passed[y] * noise * (response(filter, f) - 1);
            sum += added * added;
        }
    }
    const double density = std::pow(situation.enlarging, 2);
    return std::sqrt(density * sum / (count * count));
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

// The chain as seen from one distance, tabulated: a design asks for its acutance some hundred times.
class View {
  public:
    View(const Situation& situation, base::Millimetres distance) {
        // Simpson over the frequencies that the pixels hold, in cycles a pixel.
        const double step = content_limit(situation) / intervals;
        for (int i = 1; i <= intervals; ++i) {
            const double f = i * step;
            const double simpson = i == intervals ? 1 : (i % 2 == 1 ? 4 : 2);
            const double weight = simpson * sensitivity(situation, f, distance);
            m_shown.push_back({f, weight * chain_mtf(situation, f)});
            m_whole += weight;
        }
    }
    double acutance(const Filter& filter) const {
        double shown = 0;
        for (const auto& [f, weight] : m_shown) shown += weight * response(filter, f);
        return m_whole > 0 ? shown / m_whole : 1;  // Nothing of it is visible from there: nothing is lost.
    }

  private:
    static constexpr int intervals = 128;
    std::vector<std::pair<double, double>> m_shown;
    double m_whole = 0;
};

// What a filter must keep to, from both distances.
class Bounds {
  public:
    explicit Bounds(const Situation& situation)
        : m_close(situation, situation.closest_look), m_far(situation, situation.design_distance) {}

    double acutance(const Filter& filter) const { return m_close.acutance(filter); }

    /// `filter` times `most`, or times the largest factor that gain limit and acutance allow.
    Filter scaled_within(const Filter& filter, double most) const {
        return scaled(filter, largest_factor(most, [&](double factor) {
                          const Filter tried = scaled(filter, factor);
                          return largest_response(tried) <= gain_limit && m_close.acutance(tried) <= highest_acutance &&
                                 m_far.acutance(tried) <= highest_acutance;
                      }));
    }

  private:
    View m_close;
    View m_far;
};

std::string reason_for(const Situation& situation, const Design& design) {
    const auto percent = [](double share) { return std::to_string(std::lround(100 * share)) + " %"; };
    const std::string from = base::distance_text(situation.closest_look);
    if (design.filter.is_off()) {
        return situation.strength <= 0 ? "Not sharpened, as asked; from " + from + " " +
                                             percent(design.acutance_before) + " of the visible crispness is left."
                                       : "Not sharpened: from " + from + " " + percent(design.acutance_before) +
                                             " of the visible crispness is there as it is.";
    }
    const std::string lost = situation.enlarging > 1.02   ? "print and enlarging leave "
                             : situation.enlarging < 0.98 ? "print and reducing leave "
                                                          : "the print leaves ";
    return "Sharpened for " + situation.surface + " and a closest look from " + from + ": " + lost +
           percent(design.acutance_before) +
           " of the crispness that the eye can see from there, the sharpening brings it to " +
           percent(design.acutance_after) + ".";
}

}  // namespace

double chain_mtf(const Situation& situation, double cycles_per_px) {
    const double print = optics::gaussian_mtf(optics::sigma_of_f50(situation.print_f50_cycles_per_mm),
                                              cycles_per_mm(situation, cycles_per_px));
    const double picture = optics::gaussian_mtf(situation.picture_blur.sigma_px * situation.enlarging, cycles_per_px);
    return print * resampling_mtf(situation.enlarging / situation.by_network, cycles_per_px) * picture;
}

double content_limit(const Situation& situation) { return 0.5 / std::max(situation.enlarging, 1.0); }

double simulated_acutance(const Situation& situation, const Filter& filter, base::Millimetres distance) {
    return View(situation, distance).acutance(filter);
}

Design designed(const Situation& situation) {
    const Bounds bounds(situation);
    Design design;
    design.acutance_before = bounds.acutance({});
    design.acutance_after = design.acutance_before;
    if (situation.strength > 0 && design.acutance_before < 0.995) {
        Filter filter;
        for (const double highest_contrast : highest_contrasts) {
            Filter tried;
            tried.terms = fitted_terms(wanted_response(situation, highest_contrast), gain_limit);
            tried = bounds.scaled_within(tried, 1);
            const double after = bounds.acutance(tried);
            if (after > design.acutance_after) {
                filter = tried;
                design.acutance_after = after;
            }
            if (after >= design.acutance_before + gap_to_close * (1 - design.acutance_before)) break;
        }
        filter = bounds.scaled_within(filter, situation.strength);
        const double white = optics::white_coarse_share;
        const double lumps = std::clamp((situation.picture_noise.coarse_share - white) / (1 - white), 0.0, 1.0);
        filter.threshold = std::lerp(noise_multiples, lumpy_noise_multiples, lumps) * detail_noise(situation, filter);
        filter.overshoot_limit = overshoot_limit;
        filter.highlight_fade = highlight_fade;
        filter.shadow_fade = shadow_fade;
        design.filter = filter;
        design.acutance_after = bounds.acutance(filter);
        design.largest_gain = largest_response(filter);
    }
    design.reason = reason_for(situation, design);
    return design;
}

}  // namespace hangtrue::sharpen
