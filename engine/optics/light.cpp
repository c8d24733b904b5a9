// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/light.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace hangtrue::optics {
namespace {

constexpr double pi = std::numbers::pi;

constexpr std::array<Room, 7> known_rooms{{
    {"living-room", "a living room in the evening", 80,
     "An estimate: homes have no standard; 50 to 150 lux are usual in the evening, and a wall gets less than a table."},
    {"museum", "a museum's light for what fades", 50, "CIE 157:2004, the limit for sensitive works."},
    {"picture-light", "a lit wall, or a picture light", 200, "An estimate: 150 to 300 lux are usual."},
    {"gallery", "a gallery", 200,
     "An estimate, of exhibitions of photographs, 150 to 200 lux; it is also the limit of "
     "CIE 157:2004 for what fades little."},
    {"office", "an office, or a room by day", 500, "EN 12464-1 asks for 500 lux at an office's desk."},
    {"appraisal", "light for judging prints as they will be seen", 500, "ISO 3664:2009, condition P2."},
    {"booth", "a print booth", 2000, "ISO 3664:2009, condition P1, for critical comparison."},
}};

constexpr double grating_cycles_per_degree = 4;  // Near the eye's best.

constexpr int lightness_steps = 2000;
constexpr double knot_step = 5;      // L*
constexpr double least_moved = 0.1;  // L*

/// CIE 1976 L* (ISO/CIE 11664-4) to relative luminance and back, of greys.
double luminance_of(double lightness) {
    const double root = (lightness + 16) / 116;
    return lightness > 8 ? root * root * root : lightness * 27 / 24389;
}

double lightness_of(double luminance) {
    return luminance > 216.0 / 24389 ? 116 * std::cbrt(luminance) - 16 : luminance * 24389 / 27;
}

double srgb_to_linear(double encoded) {
    return encoded <= 0.04045 ? encoded / 12.92 : std::pow((encoded + 0.055) / 1.055, 2.4);
}

/// Visible steps to each of the even steps of L*, from black.
std::array<double, lightness_steps + 1> cumulative_steps(const Seen& seen) {
    std::array<double, lightness_steps + 1> sums{};
    for (int i = 1; i <= lightness_steps; ++i) {
        const double from = luminance_of(100.0 * (i - 1) / lightness_steps);
        const double to = luminance_of(100.0 * i / lightness_steps);
        sums[static_cast<std::size_t>(i)] = sums[static_cast<std::size_t>(i - 1)] + visible_steps(seen, from, to);
    }
    return sums;
}

}  // namespace

double paper_luminance(double lux, double reflectance) { return lux * reflectance / pi; }

double lux_for(double candelas, double reflectance) { return candelas * pi / reflectance; }

double barten_sensitivity(double cycles_per_degree, double candelas, double field_degrees) {
    const double u2 = cycles_per_degree * cycles_per_degree;
    const double optics = 5200 * std::exp(-0.0016 * u2 * std::pow(1 + 100 / candelas, 0.08));
    const double area = 1 + 144 / (field_degrees * field_degrees) + 0.64 * u2;
    const double noise = 63 / std::pow(candelas, 0.83) + 1 / (1 - std::exp(-0.02 * u2));
    return optics / std::sqrt(area * noise);
}

std::span<const Room> rooms() { return known_rooms; }

const Room* find_room(std::string_view id) {
    const auto* found =
        std::find_if(known_rooms.begin(), known_rooms.end(), [id](const Room& room) { return room.id == id; });
    return found == known_rooms.end() ? nullptr : found;
}

Seen screen_seen(double candelas) {
    constexpr double contrast = 1000;
    constexpr double room_lux = 32;
    constexpr double thrown_back = 0.01;
    const double stray = paper_luminance(room_lux, thrown_back);
    return {candelas / contrast + stray, candelas + stray};
}

Seen print_seen(double lux, const Surface& surface) {
    const double paper = paper_luminance(lux, surface.reflectance);
    return {paper * (std::pow(10, -surface.density) + surface.stray), paper * (1 + surface.stray)};
}

double effective_density(double density, double stray) {
    return -std::log10((std::pow(10, -density) + stray) / (1 + stray));
}

double visible_steps(const Seen& seen, double from_tone, double to_tone) {
    // With L = exp(x) the integrand is S / 2, smooth: Simpson's rule on few intervals.
    const double from = std::log(seen.at(from_tone));
    const double to = std::log(seen.at(to_tone));
    const int intervals = std::max(2, 2 * static_cast<int>(std::ceil(std::abs(to - from) / 0.1)));
    const double step = (to - from) / intervals;
    double sum = 0;
    for (int i = 0; i <= intervals; ++i) {
        const double weight = i == 0 || i == intervals ? 1 : (i % 2 == 1 ? 4 : 2);
        sum += weight * barten_sensitivity(grating_cycles_per_degree, std::exp(from + i * step)) / 2;
    }
    return sum * step / 3;
}

ToneKnots unchanged_tones() {
    ToneKnots knots{};
    for (std::size_t i = 0; i < knots.size(); ++i) knots[i] = knot_step * static_cast<double>(i);
    return knots;
}

ToneKnots tone_change(const Seen& matched, const Seen& there) {
    const auto steps_matched = cumulative_steps(matched);
    const auto steps_there = cumulative_steps(there);
    ToneKnots knots = unchanged_tones();
    ToneKnots moved{};
    std::size_t at = 0;
    for (std::size_t i = 1; i + 1 < knots.size(); ++i) {
        const std::size_t here = i * lightness_steps / (knots.size() - 1);
        const double wanted = steps_matched[here] / steps_matched.back() * steps_there.back();
        while (steps_there[at + 1] < wanted) ++at;
        const double share = (wanted - steps_there[at]) / (steps_there[at + 1] - steps_there[at]);
        moved[i] = std::max(0.0, 100 * (static_cast<double>(at) + share) / lightness_steps - knots[i]);
    }
    const double most = *std::max_element(moved.begin(), moved.end());
    const double kept = most > most_moved ? most_moved / most : 1;
    // Less than anyone sees is no change, and the files stay as they are without one.
    if (most < least_moved) return knots;
    for (std::size_t i = 0; i < knots.size(); ++i) knots[i] += kept * moved[i];
    return knots;
}

double changed_tone(const ToneKnots& knots, double tone) {
    const double place = std::clamp(lightness_of(tone), 0.0, 100.0) / knot_step;
    const std::size_t left = std::min(static_cast<std::size_t>(place), knots.size() - 2);
    const double share = place - static_cast<double>(left);
    return luminance_of(knots[left] + share * (knots[left + 1] - knots[left]));
}

int last_merged_code(const Seen& seen, const ToneKnots& knots) {
    const auto tone = [&](int code) { return changed_tone(knots, srgb_to_linear(code / 255.0)); };
    int last = -1;
    while (last < 254 && visible_steps(seen, tone(0), tone(last + 2)) < 1) ++last;
    return last;
}

}  // namespace hangtrue::optics
