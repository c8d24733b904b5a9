// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/mtf.h"

#include <cmath>
#include <numbers>

namespace hangtrue::optics {
namespace {

constexpr double pi = std::numbers::pi;

double sinc(double x) { return std::abs(x) < 1e-9 ? 1 : std::sin(pi * x) / (pi * x); }

// The transform of sinc(x) is a box of width 1, that of sinc(x/n) / n one of width 1/n; the window's cut at n
// has no closed form, so the kernel is integrated. Simpson, 0..n; the kernel is even.
double lanczos_transform(int lobes, double frequency) {
    const int intervals = 32 * lobes;
    constexpr double step = 1.0 / 32;
    double sum = 0;
    for (int i = 0; i <= intervals; ++i) {
        const double x = i * step;
        const double weight = i == 0 || i == intervals ? 1 : (i % 2 == 1 ? 4 : 2);
        sum += weight * sinc(x) * sinc(x / lobes) * std::cos(2 * pi * frequency * x);
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

double lanczos_mtf(int lobes, double frequency) {
    return std::abs(lanczos_transform(lobes, frequency)) / lanczos_transform(lobes, 0);
}

}  // namespace hangtrue::optics
