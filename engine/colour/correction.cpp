// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/correction.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::colour {

namespace {

constexpr double step = Correction::knot_step;
constexpr std::size_t last = Correction::knots - 1;
constexpr double most_moved = 60;

double at_knot(std::size_t knot) { return step * static_cast<double>(knot); }

/// The slope at a knot: the harmonic mean of its two chords', 0 where they turn; so the cubic stays between its knots.
double slope_at(const Correction::Curve& curve, std::size_t knot) {
    const auto chord = [&](std::size_t left) { return (curve[left + 1] - curve[left]) / step; };
    if (knot == 0) return chord(0);
    if (knot == last) return chord(last - 1);
    const double before = chord(knot - 1);
    const double after = chord(knot);
    return before * after > 0 ? 2 * before * after / (before + after) : 0;
}

double value_at(const Correction::Curve& curve, double lightness) {
    const double place = std::clamp(lightness / step, 0.0, static_cast<double>(last));
    const std::size_t left = std::min(static_cast<std::size_t>(place), last - 1);
    const double t = place - static_cast<double>(left);
    const double rest = 1 - t;
    return (1 + 2 * t) * rest * rest * curve[left] + t * rest * rest * step * slope_at(curve, left) +
           t * t * (3 - 2 * t) * curve[left + 1] - t * t * rest * step * slope_at(curve, left + 1);
}

bool is_inside(double lightness) { return lightness >= 0 && lightness <= 100; }

/// Each knot at least `least_rise` above the one before and below the one after, the ends fixed.
void make_rising(Correction::Curve& curve) {
    for (std::size_t i = 1; i < last; ++i) {
        const double room = least_rise * static_cast<double>(last - i);
        curve[i] = std::clamp(curve[i], curve[i - 1] + least_rise, 100 - room);
    }
}

}  // namespace

Correction no_correction() {
    Correction correction;
    for (std::size_t i = 0; i <= last; ++i) correction.lightness[i] = at_knot(i);
    return correction;
}

bool is_valid(const Correction& correction) {
    const auto is_bounded = [](double moved) { return std::abs(moved) <= most_moved; };  // Not of a NaN.
    if (correction.lightness.front() != 0 || correction.lightness.back() != 100) return false;
    for (const Correction::Curve* curve : {&correction.a, &correction.b}) {
        if (curve->front() != 0 || curve->back() != 0) return false;
        if (!std::all_of(curve->begin(), curve->end(), is_bounded)) return false;
    }
    for (std::size_t i = 0; i < last; ++i) {
        if (!is_bounded(correction.lightness[i] - at_knot(i))) return false;
        // Rounding alone may take a little of the least rise.
        if (!(correction.lightness[i + 1] - correction.lightness[i] >= least_rise * (1 - 1e-9))) return false;
    }
    return true;
}

double shift_weight(double lightness) {
    const double share = std::clamp(lightness / 100, 0.0, 1.0);
    return 4 * share * (1 - share);
}

Correction correction_of(const Shift& shift) {
    Correction correction = no_correction();
    for (std::size_t i = 1; i < last; ++i) {
        const double lightness = at_knot(i);
        const double weight = shift_weight(lightness);
        correction.lightness[i] += weight * (shift.lightness + shift.contrast * (lightness - 50));
        correction.a[i] = weight * shift.a;
        correction.b[i] = weight * shift.b;
    }
    make_rising(correction.lightness);
    return correction;
}

Lab corrected(const Correction& correction, Lab picture) {
    if (!is_inside(picture.lightness)) return picture;
    return {value_at(correction.lightness, picture.lightness), picture.a + value_at(correction.a, picture.lightness),
            picture.b + value_at(correction.b, picture.lightness)};
}

Lab uncorrected(const Correction& correction, Lab file) {
    if (!is_inside(file.lightness)) return file;
    double low = 0;
    double high = 100;
    for (int halving = 0; halving < 60; ++halving) {
        const double middle = (low + high) / 2;
        (value_at(correction.lightness, middle) < file.lightness ? low : high) = middle;
    }
    const double lightness = (low + high) / 2;
    return {lightness, file.a - value_at(correction.a, lightness), file.b - value_at(correction.b, lightness)};
}

}  // namespace hangtrue::colour
