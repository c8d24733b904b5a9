// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/tile_spectrum.h"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <vector>

#include "tests/support/random.h"

namespace hangtrue {
namespace {

using picture::RingPowers;

std::vector<float> noise_tile(int width, int height, double sd, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal(100, sd);
    std::vector<float> tile(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    for (float& value : tile) value = static_cast<float>(normal(random));
    return tile;
}

/// By the transform's definition, in double precision.
RingPowers by_definition(const std::vector<float>& tile, int width, int height) {
    constexpr int side = picture::spectrum_side;
    const auto window = [](int i, int length) {
        return 0.5 - 0.5 * std::cos(2 * std::numbers::pi * (i + 0.5) / length);
    };
    const auto at = [&](int x, int y) {
        return static_cast<double>(
            tile[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)]);
    };
    double sum = 0, weights = 0, power = 0;
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const double weight = window(x, width) * window(y, height);
            sum += weight * at(x, y);
            weights += weight;
            power += weight * weight;
        }
    }
    // Rows first, so that it takes seconds and not hours.
    std::vector<std::complex<double>> across(static_cast<std::size_t>(side * height));
    for (int y = 0; y < height; ++y) {
        for (int k = 0; k < side; ++k) {
            for (int x = 0; x < width; ++x)
                across[static_cast<std::size_t>(y * side + k)] += window(x, width) * window(y, height) *
                                                                  (at(x, y) - sum / weights) *
                                                                  std::polar(1.0, -2 * std::numbers::pi * k * x / side);
        }
    }
    std::array<double, picture::spectrum_rings> sums{}, counts{};
    for (int kx = 0; kx <= side / 2; ++kx) {
        for (int ky = 0; ky < side; ++ky) {
            const int fy = std::min(ky, side - ky);
            const auto on_grid = [](int along, int over) {
                return along >= 8 && std::min(along % 16, 16 - along % 16) <= 1 && over <= 2;
            };
            const auto ring = std::lround(std::hypot(kx, fy));
            if (on_grid(kx, fy) || on_grid(fy, kx) || ring == 0 || ring >= picture::spectrum_rings) continue;
            std::complex<double> value = 0;
            for (int y = 0; y < height; ++y)
                value += across[static_cast<std::size_t>(y * side + kx)] *
                         std::polar(1.0, -2 * std::numbers::pi * ky * y / side);
            sums[static_cast<std::size_t>(ring)] += std::norm(value) / power;
            counts[static_cast<std::size_t>(ring)] += 1;
        }
    }
    RingPowers result{};
    for (std::size_t r = 0; r < result.size(); ++r)
        result[r] = counts[r] > 0 ? static_cast<float>(sums[r] / counts[r]) : 0;
    return result;
}

// 1e-4: single precision over 14 stages.
TEST(picture_tile_spectrum, is_that_of_the_definition_for_both_tiles_and_for_odd_sizes) {
    const support::Seeded seeded;
    for (const auto& [width, height] : {std::pair{128, 128}, std::pair{77, 40}, std::pair{16, 9}}) {
        const auto first = noise_tile(width, height, 20, seeded.seed);
        const auto second = noise_tile(width, height, 3, seeded.seed + 1);
        picture::TileSpectrum spectrum(width, height);
        RingPowers of_first{}, of_second{};
        const auto stride = static_cast<std::size_t>(width);
        spectrum.powers({first.data(), stride}, {second.data(), stride}, of_first, of_second);
        const RingPowers expected_first = by_definition(first, width, height);
        const RingPowers expected_second = by_definition(second, width, height);
        for (std::size_t r = 1; r < of_first.size(); ++r) {
            EXPECT_NEAR(of_first[r], expected_first[r], 1e-4f * expected_first[r] + 1e-2f) << width << ' ' << r;
            EXPECT_NEAR(of_second[r], expected_second[r], 1e-4f * expected_second[r] + 1e-2f) << width << ' ' << r;
        }
    }
}

// 40 tiles: the fewest samples of a ring, 19, then vary by 1 / sqrt(19 * 40 / 2) = 5 %; four times that.
TEST(picture_tile_spectrum, of_white_noise_is_its_variance_in_every_ring) {
    const support::Seeded seeded;
    picture::TileSpectrum spectrum(128, 128);
    std::array<double, picture::spectrum_rings> sums{};
    for (std::uint64_t i = 0; i < 20; ++i) {
        const auto first = noise_tile(128, 128, 4, seeded.seed + 2 * i);
        const auto second = noise_tile(128, 128, 4, seeded.seed + 2 * i + 1);
        RingPowers of_first{}, of_second{};
        spectrum.powers({first.data(), 128}, {second.data(), 128}, of_first, of_second);
        for (std::size_t r = 0; r < sums.size(); ++r) sums[r] += static_cast<double>(of_first[r] + of_second[r]) / 40;
    }
    for (std::size_t r = 3; r < 88; ++r) EXPECT_NEAR(sums[r], 16, 3.2) << r;
}

// The Hann window's transform (Harris 1978): one half of an edge's power lies beyond it, a millionth four bins on.
TEST(picture_tile_spectrum, the_window_spreads_an_end_over_two_bins) {
    EXPECT_NEAR(picture::spread_beyond(0), 0.5, 1e-9);
    EXPECT_LT(picture::spread_beyond(2), 2e-3);
    for (const double bins : {0.1, 0.5, 1.0, 1.7}) {
        EXPECT_NEAR(picture::bins_of_spread(picture::spread_beyond(bins)), bins, 1e-3);
    }
    EXPECT_EQ(picture::bins_of_spread(0.5), 0);
}

}  // namespace
}  // namespace hangtrue
