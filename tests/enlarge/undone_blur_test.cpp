// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/undone_blur.h"

#include <gtest/gtest.h>

#include <vector>

#include "tests/support/disc_scene.h"
#include "tests/support/random.h"

namespace hangtrue::enlarge {
namespace {

using support::discs;
using support::GreyPlane;
using support::halved;

constexpr int width = 96;
constexpr int height = 80;

double found(const GreyPlane& small, const GreyPlane& large) {
    UndoneBlur undone;
    base::AlignedFloats scratch;
    undone.add({{small.floats.data(), small.floats.data(), small.floats.data()}, std::size_t{width}}, width, height,
               {{large.floats.data(), large.floats.data(), large.floats.data()}, std::size_t{2 * width}}, scratch);
    return undone.sigma_px();
}

TEST(enlarge_undone_blur, is_the_one_that_lies_between_result_and_picture) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const GreyPlane large = discs(2 * width, 2 * height, random);
    EXPECT_EQ(found(halved(large, 0), large), 0);
    for (const double sigma : {0.5, 0.8, 1.2}) {
        EXPECT_NEAR(found(halved(large, sigma), large), sigma, 0.051) << "sigmas are tried in steps of 0.05";
    }
    EXPECT_NEAR(found(halved(large, 3), large), 1.6, 1e-9) << "no wider one is tried";
}

TEST(enlarge_undone_blur, is_found_under_noise_and_not_made_up_by_it) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::normal_distribution<float> noise(0, 0.02f);
    const GreyPlane large = discs(2 * width, 2 * height, random);
    for (const double sigma : {0.0, 0.8}) {
        GreyPlane small = halved(large, sigma);
        for (float& value : small.floats) value += noise(random);
        EXPECT_NEAR(found(small, large), sigma, 0.051);
    }
}

TEST(enlarge_undone_blur, is_none_where_a_part_is_too_small_to_tell) {
    const std::vector<float> floats(4 * 7 * 5, 0.25f);
    UndoneBlur undone;
    base::AlignedFloats scratch;
    undone.add({{floats.data(), floats.data(), floats.data()}, 7}, 7, 5,
               {{floats.data(), floats.data(), floats.data()}, 14}, scratch);
    EXPECT_EQ(undone.sigma_px(), 0);
}

}  // namespace
}  // namespace hangtrue::enlarge
