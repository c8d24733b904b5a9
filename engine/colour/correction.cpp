// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/correction.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::colour {

namespace {

using Curve = Correction::Curve;

constexpr double step = Correction::knot_step;
constexpr std::size_t last = Correction::knots - 1;
constexpr double most_moved = 60;

double at_knot(std::size_t knot) { return step * static_cast<double>(knot); }

/// Scaled so that the connection space's white has one of each to the last bit.
Primaries primaries_of(const Profile& profile) {
    Matrix3 to_xyz = profile.matrix_model()->to_xyz;
    const Channels white = transformed(inverse(to_xyz), {d50.x, d50.y, d50.z});
    for (auto& row : to_xyz) {
        for (std::size_t i = 0; i < 3; ++i) row[i] *= white[i];
    }
    return {to_xyz, inverse(to_xyz)};
}

const Primaries& adobe_primaries() {
    static const Primaries shared = primaries_of(Profile::adobe_rgb());
    return shared;
}

/// Each channel's light as the L* of a grey of that light.
Channels channels_of(const Primaries& primaries, Xyz colour) {
    Channels channels = transformed(primaries.from_xyz, {colour.x, colour.y, colour.z});
    for (double& light : channels) light = lightness_of(light);
    return channels;
}

Xyz colour_of(const Primaries& primaries, Channels channels) {
    for (double& lightness : channels) lightness = luminance_of(lightness);
    const auto [x, y, z] = transformed(primaries.to_xyz, channels);
    return {x, y, z};
}

/// What the greys of the knots become, channel by channel.
std::array<Curve, 3> channel_curves(const Primaries& primaries, const Correction& correction) {
    std::array<Curve, 3> curves{};
    for (std::size_t knot = 0; knot <= last; ++knot) {
        const bool is_end = knot == 0 || knot == last;  // Which stay to the last bit.
        const Lab grey{correction.lightness[knot], correction.a[knot], correction.b[knot]};
        const Channels channels =
            is_end ? Channels{at_knot(knot), at_knot(knot), at_knot(knot)} : channels_of(primaries, xyz_from_lab(grey));
        for (std::size_t i = 0; i < 3; ++i) curves[i][knot] = channels[i];
    }
    return curves;
}

/// The slope at each knot: the harmonic mean of its two chords', 0 where they turn: the cubic stays between its knots.
Curve slopes_of(const Curve& curve) {
    const auto chord = [&](std::size_t left) { return (curve[left + 1] - curve[left]) / step; };
    Curve slopes{};
    slopes.front() = chord(0);
    slopes.back() = chord(last - 1);
    for (std::size_t knot = 1; knot < last; ++knot) {
        const double before = chord(knot - 1);
        const double after = chord(knot);
        slopes[knot] = before * after > 0 ? 2 * before * after / (before + after) : 0;
    }
    return slopes;
}

double value_at(const Curve& value, const Curve& slope, double lightness) {
    const double place = lightness / step;
    const std::size_t left = std::min(static_cast<std::size_t>(place), last - 1);
    const double t = place - static_cast<double>(left);
    const double rest = 1 - t;
    return (1 + 2 * t) * rest * rest * value[left] + t * rest * rest * step * slope[left] +
           t * t * (3 - 2 * t) * value[left + 1] - t * t * rest * step * slope[left + 1];
}

bool is_inside(double lightness) { return lightness > 0 && lightness < 100; }

bool rises(const Curve& curve) {
    for (std::size_t i = 0; i < last; ++i) {
        // Rounding alone may take a little of the least rise.
        if (!(curve[i + 1] - curve[i] >= least_rise * (1 - 1e-9))) return false;
    }
    return true;
}

/// Each knot at least `rise` above the one before and below the one after, the ends fixed.
void make_rising(Curve& curve, double rise) {
    curve.front() = 0;
    curve.back() = 100;
    for (std::size_t i = 1; i < last; ++i) {
        curve[i] = std::clamp(curve[i], curve[i - 1] + rise, 100 - rise * static_cast<double>(last - i));
    }
}

}  // namespace

Channels channels_of(Lab colour) { return channels_of(adobe_primaries(), xyz_from_lab(colour)); }

Lab colour_of(Channels channels) { return lab_from_xyz(colour_of(adobe_primaries(), channels)); }

Correction no_correction() {
    Correction correction;
    for (std::size_t i = 0; i <= last; ++i) correction.lightness[i] = at_knot(i);
    return correction;
}

bool is_valid(const Correction& correction) {
    const auto is_bounded = [](double moved) { return std::abs(moved) <= most_moved; };  // Not of a NaN.
    if (correction.lightness.front() != 0 || correction.lightness.back() != 100) return false;
    for (const Curve* curve : {&correction.a, &correction.b}) {
        if (curve->front() != 0 || curve->back() != 0) return false;
        if (!std::all_of(curve->begin(), curve->end(), is_bounded)) return false;
    }
    for (std::size_t i = 0; i <= last; ++i) {
        if (!is_bounded(correction.lightness[i] - at_knot(i))) return false;
    }
    const auto curves = channel_curves(adobe_primaries(), correction);
    return rises(correction.lightness) && std::all_of(curves.begin(), curves.end(), rises);
}

Correction made_valid(const Correction& wanted) {
    constexpr double held = most_moved / 2;
    Correction correction = wanted;
    for (std::size_t i = 0; i <= last; ++i) {
        const double grey = at_knot(i);
        correction.lightness[i] = std::clamp(correction.lightness[i], grey - held, grey + held);
        correction.a[i] = i == 0 || i == last ? 0 : std::clamp(correction.a[i], -held, held);
        correction.b[i] = i == 0 || i == last ? 0 : std::clamp(correction.b[i], -held, held);
    }
    // A little more than must be, so that a small tint has room.
    make_rising(correction.lightness, 2 * least_rise);
    for (int halving = 0; halving < 60 && !is_valid(correction); ++halving) {
        for (std::size_t i = 0; i <= last; ++i) {
            correction.a[i] /= 1.25;
            correction.b[i] /= 1.25;
        }
    }
    return correction;
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
    return made_valid(correction);
}

Corrector::Corrector(const Correction& correction) : Corrector(correction, adobe_primaries()) {}

Corrector::Corrector(const Correction& correction, const Profile& channels)
    : Corrector(correction, primaries_of(channels)) {}

Corrector::Corrector(const Correction& correction, const Primaries& primaries) : m_primaries(primaries) {
    const auto curves = channel_curves(m_primaries, correction);
    for (std::size_t i = 0; i < 3; ++i) m_channels[i] = {curves[i], slopes_of(curves[i])};
}

Lab Corrector::corrected(Lab picture) const { return lab_from_xyz(corrected(xyz_from_lab(picture))); }

Xyz Corrector::corrected(Xyz picture) const {
    Channels channels = channels_of(m_primaries, picture);
    for (std::size_t i = 0; i < 3; ++i) {
        if (is_inside(channels[i])) channels[i] = value_at(m_channels[i].value, m_channels[i].slope, channels[i]);
    }
    return colour_of(m_primaries, channels);
}

Lab Corrector::uncorrected(Lab file) const {
    Channels channels = channels_of(m_primaries, xyz_from_lab(file));
    for (std::size_t i = 0; i < 3; ++i) {
        if (!is_inside(channels[i])) continue;
        double low = 0;
        double high = 100;
        for (int halving = 0; halving < 60; ++halving) {
            const double middle = (low + high) / 2;
            (value_at(m_channels[i].value, m_channels[i].slope, middle) < channels[i] ? low : high) = middle;
        }
        channels[i] = (low + high) / 2;
    }
    return lab_from_xyz(colour_of(m_primaries, channels));
}

Lab corrected(const Correction& correction, Lab picture) { return Corrector(correction).corrected(picture); }

Lab uncorrected(const Correction& correction, Lab file) { return Corrector(correction).uncorrected(file); }

}  // namespace hangtrue::colour
