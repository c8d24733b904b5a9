// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/mtf.h"

#include <cmath>
#include <numbers>

namespace hangtrue::optics {
namespace {

constexpr double pi = std::numbers::pi;

double sinc(double x) { return std::abs(x) < 1e-9 ? 1 : std::sin(pi * x) / (pi * x); }

// The transform of sinc(x) is a box of width 1, that of sinc(x/3) / 3 one of width 1/3; the window's cut at 3
// has no closed form, so the kernel is integrated. Simpson, 0..3; the kernel is even.
double lanczos3_transform(double frequency) {
    constexpr int intervals = 96;
    constexpr double step = 3.0 / intervals;
    double sum = 0;
    for (int i = 0; i <= intervals; ++i) {
        const double x = i * step;
        const double weight = i == 0 || i == intervals ? 1 : (i % 2 == 1 ? 4 : 2);
        sum += weight * sinc(x) * sinc(x / 3) * std::cos(2 * pi * frequency * x);
    }
    return 2 * sum * step / 3;
}

}  // namespace

double gaussian_mtf(double sigma, double frequency) {
    return std::exp(-2 * pi * pi * sigma * sigma * frequency * frequency);
}

double sigma_of_f50(double f50) { return std::sqrt(std::numbers::ln2 / 2) / (pi * f50); }

double f50_of_sigma(double sigma) { return std::sqrt(std::numbers::ln2 / 2) / (pi * sigma); }

double box_mtf(double width, double frequency) { return std::abs(sinc(width * frequency)); }

double lanczos3_mtf(double frequency) {
    static const double at_zero = lanczos3_transform(0);
    return std::abs(lanczos3_transform(frequency)) / at_zero;
}

}  // namespace hangtrue::optics
