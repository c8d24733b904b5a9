// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/homography.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

#include "tests/support/random.h"

namespace hangtrue::trial {
namespace {

// The definition of a plane seen in perspective: (a x + b y + c, d x + e y + f) / (g x + h y + 1).
TEST(sheet_geometry, a_plane_in_perspective_is_found_again_from_points_of_it) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::uniform_real_distribution<double> share(-1, 1);
    for (int round = 0; round < 100; ++round) {
        const double scale = 10 + 9 * share(random);
        const double angle = 4 * share(random);
        const double g = 1e-3 * share(random);
        const double h = 1e-3 * share(random);
        const auto seen = [&](Point at) {
            const double w = g * at.x + h * at.y + 1;
            return Point{(scale * (std::cos(angle) * at.x - std::sin(angle) * at.y) + 2000) / w,
                         (scale * (std::sin(angle) * at.x + 1.1 * std::cos(angle) * at.y) + 900) / w};
        };
        std::vector<Point> from{{3, 3}, {149, 4}, {147, 98}, {4, 97}, {50, 60}};
        std::vector<Point> to;
        for (const Point point : from) to.push_back(seen(point));
        const auto found = homography_between(from, to);
        ASSERT_TRUE(found);
        for (int i = 0; i < 20; ++i) {
            const Point at{75 + 75 * share(random), 50 + 50 * share(random)};
            const Point there = (*found)(at);
            EXPECT_NEAR(there.x, seen(at).x, 1e-5);
            EXPECT_NEAR(there.y, seen(at).y, 1e-5);
            const Point back = found->inverse()(there);
            EXPECT_NEAR(back.x, at.x, 1e-7);
            EXPECT_NEAR(back.y, at.y, 1e-7);
            // Slopes against differences.
            const double d = 1e-4;
            const auto slopes = found->slopes(at);
            EXPECT_NEAR(slopes[0], (seen({at.x + d, at.y}).x - seen({at.x - d, at.y}).x) / (2 * d), 1e-4);
            EXPECT_NEAR(slopes[1], (seen({at.x, at.y + d}).x - seen({at.x, at.y - d}).x) / (2 * d), 1e-4);
            EXPECT_NEAR(slopes[2], (seen({at.x + d, at.y}).y - seen({at.x - d, at.y}).y) / (2 * d), 1e-4);
            EXPECT_NEAR(slopes[3], (seen({at.x, at.y + d}).y - seen({at.x, at.y - d}).y) / (2 * d), 1e-4);
        }
    }
}

TEST(sheet_geometry, points_on_a_line_and_three_points_tell_nothing) {
    const std::vector<Point> line{{0, 0}, {1, 1}, {2, 2}, {3, 3}};
    EXPECT_FALSE(homography_between(line, line));
    const std::vector<Point> three{{0, 0}, {1, 0}, {0, 1}};
    EXPECT_FALSE(homography_between(three, three));
}

}  // namespace
}  // namespace hangtrue::trial
