// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/fast_curve.h"

#include <algorithm>
#include <bit>
#include <cmath>

namespace hangtrue::colour {

namespace {

// A sixteenth of the step of 16 bits: what is darker is a straight line to zero.
constexpr int lowest_encoded_exponent = -20;
// A gamma of 2.2 takes 2^-20 to 2^-44. Steeper curves end here: what is darker is black in any print.
constexpr int lowest_linear_exponent = -60;

template <typename Function>
CurveTable make_table(int lowest_exponent, const Function& curve) {
    CurveTable table;
    table.low = std::ldexp(1.0F, lowest_exponent);
    table.first = std::bit_cast<std::int32_t>(table.low) >> CurveTable::bits_below_node;
    const std::int32_t end = std::bit_cast<std::int32_t>(1.0F) >> CurveTable::bits_below_node;
    table.last = end - table.first;
    for (std::int32_t node = table.first; node <= end; ++node) {
        const float place = std::bit_cast<float>(node << CurveTable::bits_below_node);
        table.values.push_back(static_cast<float>(curve(static_cast<double>(place))));
    }
    table.values.push_back(table.values.back());
    table.slope_below = table.values.front() / table.low;
    return table;
}

// The part of a curve that is a power of x alone is replaced by a straight line from here down.
constexpr double straight_below = 1.0 / (1 << 20);

// Powers that keep far from the ends of the range of floats: those of all real profiles.
bool is_plain_power(const ToneCurve::Parameters& p) {
    const bool has_offsets = p.e != 0 || p.f != 0;
    const bool has_straight_part = p.d > straight_below && p.c > 0;
    const bool is_pure = p.d == 0 && p.b == 0;
    return !has_offsets && (has_straight_part || is_pure) && p.g >= 0.5 && p.g <= 4;
}

PowerCurve power_to_linear(const ToneCurve& curve, const ToneCurve::Parameters& p) {
    const double threshold = std::max(p.d, straight_below);
    PowerCurve power;
    power.threshold = static_cast<float>(threshold);
    power.slope =
        static_cast<float>(curve.to_linear(p.d > 0 ? 0.5 * p.d : threshold) / (p.d > 0 ? 0.5 * p.d : threshold));
    power.in_scale = static_cast<float>(p.a / (p.a + p.b));
    power.in_offset = 1 - power.in_scale;
    power.exponent = static_cast<float>(p.g);
    return power;
}

PowerCurve power_to_encoded(const ToneCurve& curve, const ToneCurve::Parameters& p) {
    const PowerCurve forward = power_to_linear(curve, p);
    PowerCurve power;
    power.threshold = static_cast<float>(curve.to_linear(std::max(p.d, straight_below)));
    power.slope = 1 / forward.slope;
    power.exponent = static_cast<float>(1 / p.g);
    power.out_scale = static_cast<float>((p.a + p.b) / p.a);
    power.out_offset = 1 - power.out_scale;
    return power;
}

template <typename Make>
FastCurves shared_curves(const std::array<ToneCurve, 3>& curves, const Make& make) {
    FastCurves result;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (std::size_t earlier = 0; earlier < channel && !result[channel]; ++earlier) {
            if (curves[earlier] == curves[channel]) {
                result[channel] = result[earlier];
            }
        }
        if (!result[channel]) {
            result[channel] = std::make_shared<const FastCurve>(make(curves[channel]));
        }
    }
    return result;
}

}  // namespace

FastCurve fast_to_linear(const ToneCurve& curve) {
    FastCurve fast;
    fast.slope_above = static_cast<float>(curve.slope_above_one());
    const auto parameters = curve.parameters();
    if (parameters && is_plain_power(*parameters)) {
        fast.power = power_to_linear(curve, *parameters);
    } else {
        fast.table = make_table(lowest_encoded_exponent, [&curve](double encoded) { return curve.to_linear(encoded); });
    }
    return fast;
}

FastCurve fast_to_encoded(const ToneCurve& curve) {
    FastCurve fast;
    fast.slope_above = static_cast<float>(1 / curve.slope_above_one());
    const auto parameters = curve.parameters();
    if (parameters && is_plain_power(*parameters)) {
        fast.power = power_to_encoded(curve, *parameters);
    } else {
        const double darkest = curve.to_linear(std::ldexp(1.0, lowest_encoded_exponent));
        const int exponent = darkest > 0 ? std::ilogb(darkest) : lowest_linear_exponent;
        fast.table = make_table(std::clamp(exponent, lowest_linear_exponent, -1),
                                [&curve](double linear) { return curve.to_encoded(linear); });
    }
    return fast;
}

FastCurves fast_to_linear(const std::array<ToneCurve, 3>& curves) {
    return shared_curves(curves, [](const ToneCurve& curve) { return fast_to_linear(curve); });
}

FastCurves fast_to_encoded(const std::array<ToneCurve, 3>& curves) {
    return shared_curves(curves, [](const ToneCurve& curve) { return fast_to_encoded(curve); });
}

}  // namespace hangtrue::colour
