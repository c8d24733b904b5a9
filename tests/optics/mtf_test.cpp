// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/mtf.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "engine/optics/slanted_edge.h"

namespace hangtrue {
namespace {

// s = 0.18739 / f50 (computed); the table's micrometres to one decimal.
TEST(optics_mtf, a_print_with_f50_of_4_cycles_a_mm_blurs_by_46_9_um) {
    const struct {
        double f50, micrometres;
    } table[] = {{2, 93.7}, {3, 62.5}, {4, 46.9}, {5, 37.5}, {6, 31.2}, {8, 23.4}, {10, 18.7}};
    for (const auto& [f50, micrometres] : table) {
        EXPECT_NEAR(1000 * optics::sigma_of_f50(f50), micrometres, 0.06);
        EXPECT_NEAR(optics::f50_of_sigma(optics::sigma_of_f50(f50)), f50, 1e-12);
        EXPECT_NEAR(optics::gaussian_mtf(optics::sigma_of_f50(f50), f50), 0.5, 1e-12);
    }
}

// Computed to five decimals.
TEST(optics_mtf, gaussian_and_box_pass_their_check_values) {
    EXPECT_NEAR(optics::gaussian_mtf(0.3, 0.25), 0.89491, 1e-5);
    EXPECT_NEAR(optics::gaussian_mtf(0.5, 0.5), 0.29121, 1e-5);
    EXPECT_NEAR(optics::gaussian_mtf(1.0, 0.1), 0.82087, 1e-5);
    EXPECT_NEAR(optics::gaussian_mtf(1.5, 0.125), 0.49960, 1e-5);
    EXPECT_NEAR(optics::box_mtf(1, 0.1), 0.98363, 1e-5);
    EXPECT_NEAR(optics::box_mtf(1, 0.5), 0.63662, 1e-5);
    EXPECT_NEAR(optics::box_mtf(1, 0.6033545), 0.5, 1e-6);
    EXPECT_NEAR(optics::box_mtf(1, 1), 0, 1e-12);
}

// Against a midpoint sum of the kernel's definition: another rule, a hundred times as fine.
TEST(optics_mtf, lanczos_3_is_the_transform_of_its_kernel) {
    const auto transform = [](double f) {
        const auto sinc = [](double x) { return x == 0 ? 1 : std::sin(std::numbers::pi * x) / (std::numbers::pi * x); };
        double sum = 0;
        for (int i = 0; i < 30000; ++i) {
            const double x = (i + 0.5) * 1e-4;
            sum += 2e-4 * sinc(x) * sinc(x / 3) * std::cos(2 * std::numbers::pi * f * x);
        }
        return sum;
    };
    EXPECT_EQ(optics::lanczos_mtf(3, 0), 1);
    for (double f = 0.05; f < 1; f += 0.05)
        EXPECT_NEAR(optics::lanczos_mtf(3, f), std::abs(transform(f) / transform(0)), 1e-5);
    EXPECT_GT(optics::lanczos_mtf(3, 0.3), 0.95);
    EXPECT_NEAR(optics::lanczos_mtf(3, 0.5), 0.5, 0.02);
    EXPECT_LT(optics::lanczos_mtf(3, 0.8), 0.02);
    // More lobes fall more steeply about one half.
    EXPECT_GT(optics::lanczos_mtf(4, 0.4), optics::lanczos_mtf(3, 0.4));
}

/// An ideal edge at `degrees` off the columns, blurred by a Gaussian and by the pixel's box along the normal's
/// columns: the mean of 16 points across the pixel.
std::vector<float> slanted_edge(int width, int height, double degrees, double sigma) {
    std::vector<float> picture;
    const double angle = degrees * std::numbers::pi / 180;
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            double sum = 0;
            for (int i = 0; i < 16; ++i) {
                const double px = x + (i + 0.5) / 16 - 0.5 - (width - 1) / 2.0;
                const double distance = px * std::cos(angle) - (y - (height - 1) / 2.0) * std::sin(angle);
                sum += 0.5 * (1 + std::erf(distance / sigma / std::numbers::sqrt2));
            }
            picture.push_back(static_cast<float>(0.1 + 0.6 * sum / 16));
        }
    }
    return picture;
}

// Theory: Gaussian times the box of the pixel's width across the normal. 0.01: what quarter-pixel bins give.
TEST(optics_slanted_edge, synthetic_edges_come_out_within_0_01) {
    for (const double degrees : {5.0, -5.0, 3.0, 8.0}) {
        for (const double sigma : {0.3, 0.5, 0.8, 1.5}) {
            const auto mtf = optics::edge_mtf(slanted_edge(64, 100, degrees, sigma), 64, 100);
            ASSERT_TRUE(mtf);
            EXPECT_NEAR(mtf->angle_degrees, degrees, 0.1);
            const double box = std::cos(degrees * std::numbers::pi / 180);
            for (const double f : {0.05, 0.1, 0.2, 0.25, 0.3, 0.4, 0.5}) {
                const double theory = optics::gaussian_mtf(sigma, f) * optics::box_mtf(box, f);
                EXPECT_NEAR(mtf->at(f), theory, 0.01) << degrees << ' ' << sigma << ' ' << f;
            }
        }
    }
}

// Gaussian 0.8 px and the box: one half where 0.8^2 + 1/12 stands for both (the box is nearly a Gaussian there).
TEST(optics_slanted_edge, f50_of_a_blur_of_0_8_px_is_0_220_cycles_a_px) {
    const auto mtf = optics::edge_mtf(slanted_edge(64, 100, 5, 0.8), 64, 100);
    ASSERT_TRUE(mtf);
    EXPECT_NEAR(mtf->f50(), optics::f50_of_sigma(std::sqrt(0.64 + 1 / 12.0)), 0.004);
}

TEST(optics_slanted_edge, what_is_no_slanted_edge_is_refused) {
    EXPECT_FALSE(optics::edge_mtf(std::vector<float>(64 * 100, 0.4f), 64, 100));
    EXPECT_FALSE(optics::edge_mtf(slanted_edge(64, 100, 0, 0.5), 64, 100));
    EXPECT_FALSE(optics::edge_mtf(slanted_edge(10, 10, 5, 0.5), 10, 10));
    EXPECT_FALSE(optics::edge_mtf({}, 0, 0));
}

// A Gaussian's edge is its integral: bins of a quarter unit hold means of it, which the answer takes out again. In the
// narrow profile the window reaches into the edge at 3 sigma.
TEST(optics_slanted_edge, a_profile_alone_gives_the_mtf_of_its_blur) {
    const double sigma = 1.2;
    for (const double bin : {0.25, 0.1}) {
        for (const double half : {20.0, 7.2}) {
            std::vector<double> profile;
            for (int i = 0; i < 2 * static_cast<int>(half / bin); ++i) {
                double sum = 0;
                for (int j = 0; j < 20; ++j) {
                    const double distance = bin * (i + (j + 0.5) / 20) - static_cast<int>(half / bin) * bin;
                    sum += 0.5 * (1 + std::erf(distance / sigma / std::numbers::sqrt2));
                }
                profile.push_back(0.2 + 0.5 * sum / 20);
            }
            const auto mtf = optics::profile_mtf(profile, bin);
            ASSERT_TRUE(mtf);
            for (const double f : {0.05, 0.1, 0.15, 0.2, 0.3}) {
                EXPECT_NEAR(mtf->at(f), optics::gaussian_mtf(sigma, f), half < 10 ? 0.01 : 0.003) << bin << ' ' << f;
            }
            EXPECT_NEAR(mtf->f50() / optics::f50_of_sigma(sigma), 1, 0.01);
        }
    }
    EXPECT_FALSE(optics::profile_mtf(std::vector<double>(100, 0.3), 0.25));
    EXPECT_FALSE(optics::profile_mtf({}, 0.25));
}

}  // namespace
}  // namespace hangtrue
