// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/vision.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace hangtrue::optics {
namespace {

constexpr double pi = std::numbers::pi;

// 20/20 vision resolves a stroke of one arc minute: half of it on each side of the axis is 1/120 degree.
const double tan_half_arc_minute = std::tan(pi / 180 / 120);

constexpr double top_frequency = 60;  // Beyond it the sensitivity is 5e-5 of its peak.

}  // namespace

base::Millimetres sharp_from(base::PixelsPerInch ppi) {
    return {base::millimetres_per_inch / (2 * ppi.value * tan_half_arc_minute)};
}

base::PixelsPerInch resolved_ppi(base::Millimetres distance) {
    return {base::millimetres_per_inch / (2 * distance.value * tan_half_arc_minute)};
}

bool is_sharp(base::PixelsPerInch detail_ppi, base::Millimetres distance) {
    constexpr double as_good = 1.1;
    return sharp_from(detail_ppi).value <= as_good * distance.value;
}

base::PixelsPerInch detail_ppi(base::PixelsPerInch ppi, double detail_cycles_per_px) {
    constexpr double all_that_pixels_hold = 0.5;
    return {ppi.value * std::min(1.0, detail_cycles_per_px / all_that_pixels_hold)};
}

base::CyclesPerDegree at_the_eye(double cycles_per_mm, base::Millimetres distance) {
    return {cycles_per_mm * pi * distance.value / 180};
}

double on_the_print(base::CyclesPerDegree frequency, base::Millimetres distance) {
    return frequency.value * 180 / (pi * distance.value);
}

double contrast_sensitivity(base::CyclesPerDegree frequency) {
    return 75 * std::pow(frequency.value, 0.8) * std::exp(-0.2 * frequency.value);
}

double acutance(const std::function<double(base::CyclesPerDegree)>& mtf) {
    // With v = u^5 the integrand v^0.8 dv = 5 u^8 du is smooth at 0, so Simpson's rule holds its order.
    constexpr int intervals = 512;
    const double step = std::pow(top_frequency, 0.2) / intervals;
    double seen = 0;
    double whole = 0;
    for (int i = 1; i <= intervals; ++i) {
        const double u = i * step;
        const double v = u * u * u * u * u;
        const double simpson = i == intervals ? 1 : (i % 2 == 1 ? 4 : 2);
        const double weight = simpson * contrast_sensitivity({v}) * 5 * u * u * u * u;
        seen += weight * mtf({v});
        whole += weight;
    }
    return seen / whole;
}

base::Millimetres wall_distance(base::SizeMm print, std::optional<base::Millimetres> wished,
                                std::optional<base::Millimetres> room_depth) {
    if (wished) return *wished;
    const double diagonal = std::hypot(print.width.value, print.height.value);
    return {room_depth ? std::min(diagonal, room_depth->value) : diagonal};
}

base::Millimetres closest_look(base::SizeMm print, base::Millimetres design_distance) {
    const double half_diagonal = std::hypot(print.width.value, print.height.value) / 2;
    return {std::min(std::max(half_diagonal, 300.0), design_distance.value)};
}

}  // namespace hangtrue::optics
