// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/design.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>
#include <vector>

#include "engine/sharpen/filter.h"
#include "tests/support/random.h"

namespace hangtrue {
namespace {

sharpen::Situation situation(optics::Noise noise) {
    sharpen::Situation made;
    made.print_f50_cycles_per_mm = 3;
    made.ppi = {200};
    made.closest_look = {400};
    made.design_distance = {800};
    made.picture_blur = {0.5};
    made.picture_noise = noise;
    return made;
}

// White noise filtered by (1 2 1) / 4 along both axes, scaled: most of what is left lies below a quarter cycle.
constexpr int side = 220;
std::vector<float> coarse_noise(double sd, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> white(0, sd / (6.0 / 16));  // The taps' squares sum to 6/16 along each axis.
    std::vector<double> noise(std::size_t{side} * side);
    for (double& value : noise) value = white(random);
    std::vector<float> result;
    for (int y = 0; y < side; ++y) {
        for (int x = 0; x < side; ++x) {
            double sum = 0;
            for (int v = -1; v <= 1; ++v) {
                for (int u = -1; u <= 1; ++u) {
                    const int place = ((y + v + side) % side) * side + (x + u + side) % side;
                    sum += (u == 0 ? 0.5 : 0.25) * (v == 0 ? 0.5 : 0.25) * noise[static_cast<std::size_t>(place)];
                }
            }
            result.push_back(static_cast<float>(0.5 + sum / 255));
        }
    }
    return result;
}

// The sd of each pixel less the mean of its 3 x 3: what the eye takes for grain.
double fine_structure(const std::vector<float>& samples, int halo) {
    double square = 0;
    int count = 0;
    for (int y = halo + 1; y + halo + 1 < side; ++y) {
        for (int x = halo + 1; x + halo + 1 < side; ++x) {
            double mean = 0;
            for (int v = -1; v <= 1; ++v) {
                for (int u = -1; u <= 1; ++u)
                    mean += static_cast<double>(samples[static_cast<std::size_t>((y + v) * side + x + u)]) / 9;
            }
            square += std::pow(static_cast<double>(samples[static_cast<std::size_t>(y * side + x)]) - mean, 2);
            ++count;
        }
    }
    return std::sqrt(square / count);
}

double gain_of_fine_structure(const sharpen::Filter& filter, const std::vector<float>& samples) {
    std::array<std::vector<float>, 3> planes{samples, samples, samples};
    const sharpen::Block block{{planes[0].data(), planes[1].data(), planes[2].data()}, side, side, side};
    std::vector<float> scratch(sharpen::scratch_floats(filter, side, side));
    sharpen::apply(filter, {0.2126f, 0.7152f, 0.0722f}, block, scratch);
    const int halo = sharpen::halo_px(filter);
    return fine_structure(planes[0], halo) / fine_structure(samples, halo);
}

// The power of (1 2 1) / 4 is cos^4(pi f); 0.924 of its integral to 0.5 lies below 0.25 cycles, along both axes 0.85.
TEST(sharpen_noise, coarse_noise_gains_less_than_10_percent_once_its_share_is_known) {
    const support::Seeded seeded;
    for (const double sd : {0.8, 1.5, 3.0}) {
        const std::vector<float> grain = coarse_noise(sd, seeded.seed);
        EXPECT_LT(gain_of_fine_structure(sharpen::designed(situation({sd, 0.85})).filter, grain), 1.1) << sd;
        EXPECT_GT(gain_of_fine_structure(sharpen::designed(situation({0})).filter, grain), 1.3) << sd;
    }
}

TEST(sharpen_noise, the_threshold_is_in_proportion_to_noise_of_any_colour) {
    const auto threshold = [](optics::Noise noise) { return sharpen::designed(situation(noise)).filter.threshold; };
    EXPECT_EQ(threshold({0}), 0);
    EXPECT_NEAR(threshold({4}) / threshold({2}), 2, 1e-9);
    EXPECT_NEAR(threshold({4, 0.8}) / threshold({2, 0.8}), 2, 1e-9);
}

}  // namespace
}  // namespace hangtrue
