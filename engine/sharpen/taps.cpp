// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/taps.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "engine/optics/mtf.h"

namespace hangtrue::sharpen {
namespace {

// The fit is made on this many equally spaced frequencies of the full circle; on them cosines are orthogonal,
// so each coefficient is a plain sum.
constexpr int frequencies = 128;

const std::array<double, frequencies>& cosines() {
    static const auto table = [] {
        std::array<double, frequencies> values{};
        for (int i = 0; i < frequencies; ++i) {
            values[static_cast<std::size_t>(i)] = std::cos(2 * std::numbers::pi * i / frequencies);
        }
        return values;
    }();
    return table;
}

}  // namespace

int radius_of(double sigma_px) { return std::max(6, static_cast<int>(std::ceil(3.3 * sigma_px))); }

std::vector<float> gaussian_taps(double sigma_px) {
    const int radius = radius_of(sigma_px);
    std::array<double, frequencies / 2 + 1> wanted{};
    for (int j = 0; j <= frequencies / 2; ++j) {
        wanted[static_cast<std::size_t>(j)] = optics::gaussian_mtf(sigma_px, static_cast<double>(j) / frequencies);
    }
    std::vector<double> taps(static_cast<std::size_t>(radius) + 1);
    double total = 0;
    for (int k = 0; k <= radius; ++k) {
        double sum = 0;
        for (int j = 0; j <= frequencies / 2; ++j) {
            const double twice = j == 0 || j == frequencies / 2 ? 1 : 2;  // f and -f
            sum +=
                twice * wanted[static_cast<std::size_t>(j)] * cosines()[static_cast<std::size_t>(j * k % frequencies)];
        }
        taps[static_cast<std::size_t>(k)] = sum / frequencies;
        total += (k == 0 ? 1 : 2) * taps[static_cast<std::size_t>(k)];
    }
    // A flat field must stay flat: the constrained least-squares fit spreads what is missing evenly.
    const double missing = (1 - total) / (2 * radius + 1);
    std::vector<float> result;
    for (const double tap : taps) result.push_back(static_cast<float>(tap + missing));
    return result;
}

}  // namespace hangtrue::sharpen
