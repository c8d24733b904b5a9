// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/curve_table.h"

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
CurveTable make_table(int lowest_exponent, double slope_above, const Function& curve) {
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
    table.slope_above = static_cast<float>(slope_above);
    return table;
}

template <typename Make>
CurveTables shared_tables(const std::array<ToneCurve, 3>& curves, const Make& make) {
    CurveTables tables;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (std::size_t earlier = 0; earlier < channel && !tables[channel]; ++earlier) {
            if (curves[earlier] == curves[channel]) {
                tables[channel] = tables[earlier];
            }
        }
        if (!tables[channel]) {
            tables[channel] = std::make_shared<const CurveTable>(make(curves[channel]));
        }
    }
    return tables;
}

}  // namespace

CurveTable table_to_linear(const ToneCurve& curve) {
    return make_table(lowest_encoded_exponent, curve.slope_above_one(),
                      [&curve](double encoded) { return curve.to_linear(encoded); });
}

CurveTable table_to_encoded(const ToneCurve& curve) {
    const double darkest = curve.to_linear(std::ldexp(1.0, lowest_encoded_exponent));
    const int exponent = darkest > 0 ? std::ilogb(darkest) : lowest_linear_exponent;
    return make_table(std::clamp(exponent, lowest_linear_exponent, -1), 1 / curve.slope_above_one(),
                      [&curve](double linear) { return curve.to_encoded(linear); });
}

CurveTables tables_to_linear(const std::array<ToneCurve, 3>& curves) {
    return shared_tables(curves, table_to_linear);
}

CurveTables tables_to_encoded(const std::array<ToneCurve, 3>& curves) {
    return shared_tables(curves, table_to_encoded);
}

}  // namespace hangtrue::colour
