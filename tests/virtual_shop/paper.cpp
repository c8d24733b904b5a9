// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/paper.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace hangtrue::virtual_shop {
namespace {

constexpr int tile = 512;           // Grain repeats after so many samples…
constexpr double samples_a_sd = 2;  // …of half a grain's standard deviation.

double normal_below(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

// White noise through a Gaussian of `samples_a_sd`, round the corner, brought to standard deviation 1.
std::vector<float> grain_tile(std::uint64_t seed) {
    Chance chance(seed ^ 0x67726169ULL);
    std::vector<float> noise(tile * tile);
    for (float& value : noise) value = static_cast<float>(chance.normal(1));
    constexpr int reach = 6;
    std::array<float, 2 * reach + 1> kernel{};
    for (int i = -reach; i <= reach; ++i) {
        kernel[static_cast<std::size_t>(i + reach)] =
            static_cast<float>(std::exp(-i * i / (2 * samples_a_sd * samples_a_sd)));
    }
    for (const bool is_across : {true, false}) {
        std::vector<float> out(noise.size());
        for (int y = 0; y < tile; ++y) {
            for (int x = 0; x < tile; ++x) {
                float sum = 0;
                for (int i = -reach; i <= reach; ++i) {
                    const int from_x = is_across ? (x + i + tile) % tile : x;
                    const int from_y = is_across ? y : (y + i + tile) % tile;
                    sum += kernel[static_cast<std::size_t>(i + reach)] *
                           noise[static_cast<std::size_t>(from_y * tile + from_x)];
                }
                out[static_cast<std::size_t>(y * tile + x)] = sum;
            }
        }
        noise = std::move(out);
    }
    double squares = 0;
    for (const float value : noise) squares += static_cast<double>(value) * static_cast<double>(value);
    const auto scale = static_cast<float>(1 / std::sqrt(squares / static_cast<double>(noise.size())));
    for (float& value : noise) value *= scale;
    return noise;
}

}  // namespace

Paper::Paper(const Print& print, double device_sigma_mm)
    : m_print(print), m_width_mm(print.width_mm()), m_height_mm(print.height_mm()) {
    for (int i = 0; i < 65536; ++i) m_light.push_back(static_cast<float>(std::pow(i / 65535.0, 3)));
    const double sigma = std::hypot(print.blur_mm, device_sigma_mm) * print.ppi / 25.4;
    m_reach = std::max(1, static_cast<int>(std::ceil(3.2 * sigma + 0.5)));
    // A pixel is a square: its share is the Gaussian's mass over it.
    for (int phase = 0; phase <= phases; ++phase) {
        const double offset = static_cast<double>(phase) / phases - 0.5;
        std::vector<double> weights;
        double sum = 0;
        for (int i = -m_reach; i <= m_reach; ++i) {
            const double weight =
                sigma > 1e-6 ? normal_below((i + 0.5 - offset) / sigma) - normal_below((i - 0.5 - offset) / sigma)
                             : (i == 0 ? 1.0 : 0.0);
            weights.push_back(weight);
            sum += weight;
        }
        for (const double weight : weights) m_weights.push_back(static_cast<float>(weight / sum));
    }
    if (print.grain_sd > 0) m_grain = grain_tile(print.seed);
}

float Paper::grain_at(double x_mm, double y_mm) const {
    const double scale = samples_a_sd / m_print.grain_mm;
    const double x = x_mm * scale + 16 * tile, y = y_mm * scale + 16 * tile;
    const auto left = static_cast<int>(x), top = static_cast<int>(y);
    const auto fx = static_cast<float>(x - left), fy = static_cast<float>(y - top);
    const auto value = [&](int column, int row) {
        return m_grain[static_cast<std::size_t>((row & (tile - 1)) * tile + (column & (tile - 1)))];
    };
    return (1 - fy) * ((1 - fx) * value(left, top) + fx * value(left + 1, top)) +
           fy * ((1 - fx) * value(left, top + 1) + fx * value(left + 1, top + 1));
}

std::array<float, 3> Paper::at(double x_mm, double y_mm) const {
    const double x = x_mm * m_print.ppi / 25.4, y = y_mm * m_print.ppi / 25.4;
    const auto column = static_cast<int>(std::floor(x)), row = static_cast<int>(std::floor(y));
    const int taps = 2 * m_reach + 1;
    const float* across = &m_weights[static_cast<std::size_t>(std::lround((x - column) * phases) * taps)];
    const float* down = &m_weights[static_cast<std::size_t>(std::lround((y - row) * phases) * taps)];
    std::array<float, 3> sum{};
    const int last_x = m_print.size.width - 1, last_y = m_print.size.height - 1;
    const bool is_inside = column >= m_reach && column + m_reach <= last_x;
    for (int j = 0; j < taps; ++j) {
        const auto from_y = static_cast<std::size_t>(std::clamp(row + j - m_reach, 0, last_y));
        const std::uint16_t* line = &m_print.roots[from_y * static_cast<std::size_t>(m_print.size.width) * 3];
        float red = 0, green = 0, blue = 0;
        for (int i = 0; i < taps; ++i) {
            const int from_x = column + i - m_reach;
            const std::uint16_t* pixel =
                line + 3 * static_cast<std::size_t>(is_inside ? from_x : std::clamp(from_x, 0, last_x));
            red += across[i] * m_light[pixel[0]];
            green += across[i] * m_light[pixel[1]];
            blue += across[i] * m_light[pixel[2]];
        }
        sum[0] += down[j] * red;
        sum[1] += down[j] * green;
        sum[2] += down[j] * blue;
    }
    if (!m_grain.empty()) {
        const float root = std::cbrt(std::max(sum[1], 1e-4f));
        const float share = std::clamp(1.16f * root - 0.16f, 0.0f, 1.0f);  // L* / 100.
        const auto change = static_cast<float>(m_print.grain_sd) * 4 * share * (1 - share) * grain_at(x_mm, y_mm);
        const float factor = 1 + change / (116 * root);
        for (float& value : sum) value *= factor * factor * factor;
    }
    return sum;
}

}  // namespace hangtrue::virtual_shop
