// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/tone_curve.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

namespace hangtrue::colour {

namespace {

constexpr ToneCurve::Parameters srgb_parameters{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045, 0, 0};
// L* over 100 (CIE 15:2004), the curve of the ECI-RGB v2 and L*-RGB spaces.
constexpr ToneCurve::Parameters lightness_parameters{3, 1 / 1.16, 0.16 / 1.16, 2700.0 / 24389, 0.08, 0, 0};

constexpr std::array known_curves{srgb_parameters, lightness_parameters};

double parametric(const ToneCurve::Parameters& p, double x) {
    if (x < p.d) {
        return p.c * x + p.f;
    }
    return std::pow(std::max(p.a * x + p.b, 0.0), p.g) + p.e;
}

// Rounded, the straight part and the power of a curve miss one another where they meet, and the curve falls
// or jumps a little. The straight part gives way.
ToneCurve::Parameters joined(ToneCurve::Parameters p) {
    if (p.d > 0 && p.c > 0 && p.e == 0 && p.f == 0) {
        const double power = parametric(p, p.d);
        if (std::abs(power - p.c * p.d) < 1e-4) {
            p.c = power / p.d;
        }
    }
    return p;
}

// Whether the table is the curve, rounded to 16 bits (or cut: a whole code is allowed for).
bool is_table_of(const ToneCurve::Parameters& parameters, std::span<const std::uint16_t> table) {
    const double last = static_cast<double>(table.size() - 1);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double exact = 65535 * parametric(parameters, static_cast<double>(i) / last);
        if (std::abs(exact - table[i]) > 1.01) {
            return false;
        }
    }
    return true;
}

// Whether the values rise, falls by a few codes made level; curves that fall further cannot be inverted.
bool rises(std::vector<double>& values) {
    for (std::size_t i = 1; i < values.size(); ++i) {
        if (values[i] < values[i - 1] - 1e-4) {
            return false;
        }
        values[i] = std::max(values[i], values[i - 1]);
    }
    return true;
}

// The gamma that the middle of the table suggests.
ToneCurve::Parameters gamma_of_middle(std::span<const std::uint16_t> table) {
    const std::size_t middle = table.size() / 2;
    const double encoded = static_cast<double>(middle) / static_cast<double>(table.size() - 1);
    const double linear = std::clamp(table[middle] / 65535.0, 1e-4, 1.0);
    return {.g = std::log(linear) / std::log(encoded)};
}

// A formula in the place of a table that holds it rounded; nothing where there is none.
std::optional<ToneCurve::Parameters> formula_of(std::span<const std::uint16_t> table) {
    if (table.size() < 64) {
        return std::nullopt;
    }
    for (const ToneCurve::Parameters& known : known_curves) {
        if (is_table_of(known, table)) {
            return known;
        }
    }
    const ToneCurve::Parameters gamma = gamma_of_middle(table);
    return is_table_of(gamma, table) ? std::optional(gamma) : std::nullopt;
}

}  // namespace

ToneCurve ToneCurve::gamma(double exponent) { return *from_parameters({.g = exponent}); }

ToneCurve ToneCurve::srgb() { return *from_parameters(srgb_parameters); }

std::optional<ToneCurve> ToneCurve::from_parameters(const Parameters& parameters) {
    const Parameters& p = parameters;
    for (const double value : {p.g, p.a, p.b, p.c, p.d, p.e, p.f}) {
        if (!std::isfinite(value)) {
            return std::nullopt;
        }
    }
    // Gammas beyond these bounds belong to no picture; they would only serve to break the tables.
    if (p.g < 0.1 || p.g > 10 || p.a <= 0 || p.c < 0) {
        return std::nullopt;
    }
    ToneCurve curve;
    curve.m_parameters = joined(parameters);
    if (!curve.finish()) {
        return std::nullopt;
    }
    return curve;
}

std::optional<ToneCurve> ToneCurve::from_table(std::span<const std::uint16_t> table) {
    if (table.size() < 2) {
        return std::nullopt;
    }
    if (const auto formula = formula_of(table)) {
        return from_parameters(*formula);
    }
    ToneCurve curve;
    auto values = std::make_shared<std::vector<double>>(table.size());
    std::transform(table.begin(), table.end(), values->begin(), [](std::uint16_t v) { return v / 65535.0; });
    if (!rises(*values)) {
        return std::nullopt;
    }
    curve.m_table = std::move(values);
    if (!curve.finish()) {
        return std::nullopt;
    }
    return curve;
}

bool ToneCurve::finish() {
    m_scale = 1;
    const double at_one = inside(1);
    // Fixed-point parameters and 16-bit tables end a little off 1; more than that is another kind of curve.
    if (!(std::abs(inside(0)) <= 1e-4) || !(std::abs(at_one - 1) <= 1e-3)) {
        return false;
    }
    m_scale = 1 / at_one;
    constexpr int steps = 4096;
    double before = inside(0);
    for (int i = 1; i <= steps; ++i) {
        const double here = inside(static_cast<double>(i) / steps);
        if (!(here >= before)) {
            return false;
        }
        before = here;
    }
    constexpr double step = 1.0 / 1024;
    m_slope = (1 - inside(1 - step)) / step;
    return m_slope > 1e-3;
}

double ToneCurve::inside(double encoded) const {
    if (!m_table) {
        return m_scale * parametric(m_parameters, encoded);
    }
    const std::vector<double>& values = *m_table;
    const double place = encoded * static_cast<double>(values.size() - 1);
    const std::size_t i = std::min(static_cast<std::size_t>(place), values.size() - 2);
    return m_scale * (values[i] + (place - static_cast<double>(i)) * (values[i + 1] - values[i]));
}

double ToneCurve::inverse_inside(double linear) const {
    const double y = linear / m_scale;
    if (!m_table) {
        const Parameters& p = m_parameters;
        if (y < parametric(p, p.d) && p.d > 0) {
            return p.c > 0 ? std::clamp((y - p.f) / p.c, 0.0, p.d) : p.d;
        }
        const double x = (std::pow(std::max(y - p.e, 0.0), 1 / p.g) - p.b) / p.a;
        return std::clamp(x, std::max(p.d, 0.0), 1.0);
    }
    const std::vector<double>& values = *m_table;
    // The middle of a flat stretch, so that neither end is favoured.
    const auto above = std::upper_bound(values.begin(), values.end(), y);
    const auto from = std::lower_bound(values.begin(), values.end(), y);
    const double last = static_cast<double>(values.size() - 1);
    if (from != above) {
        const double first_place = static_cast<double>(from - values.begin());
        const double last_place = static_cast<double>(above - values.begin() - 1);
        // Flat ends belong to the ends: black is 0 and white is 1.
        if (first_place <= 0) {
            return 0;
        }
        return last_place >= last ? 1 : 0.5 * (first_place + last_place) / last;
    }
    if (above == values.begin()) {
        return 0;
    }
    if (above == values.end()) {
        return 1;
    }
    const std::size_t i = static_cast<std::size_t>(above - values.begin() - 1);
    return (static_cast<double>(i) + (y - values[i]) / (values[i + 1] - values[i])) / last;
}

double ToneCurve::to_linear(double encoded) const {
    const double x = std::abs(encoded);
    const double y = x == 0 ? 0 : x < 1 ? inside(x) : 1 + (x - 1) * m_slope;
    return std::copysign(y, encoded);
}

double ToneCurve::to_encoded(double linear) const {
    const double y = std::abs(linear);
    const double x = y == 0 ? 0 : y < 1 ? inverse_inside(y) : 1 + (y - 1) / m_slope;
    return std::copysign(x, linear);
}

bool operator==(const ToneCurve& first, const ToneCurve& second) {
    if (static_cast<bool>(first.m_table) != static_cast<bool>(second.m_table)) {
        return false;
    }
    return first.m_table ? *first.m_table == *second.m_table : first.m_parameters == second.m_parameters;
}

}  // namespace hangtrue::colour
