// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/noise.h"

#include <gtest/gtest.h>

#include <cmath>

namespace hangtrue {
namespace {

TEST(optics_noise, white_noise_is_equally_dense_at_every_frequency) {
    for (const double f : {0.0, 0.1, 0.25, 0.4, 0.7}) EXPECT_DOUBLE_EQ(optics::noise_as_white({3}, f), 3);
}

TEST(optics_noise, noise_wholly_coarse_is_twice_as_dense_below_0_2_and_gone_above_0_42) {
    EXPECT_DOUBLE_EQ(optics::noise_as_white({3, 1}, 0.2), 6);
    EXPECT_EQ(optics::noise_as_white({3, 1}, 0.43), 0);
}

// The even passage is wider than the square's border that the share is told by: a fifth.
TEST(optics_noise, all_frequencies_together_hold_the_variance_within_a_fifth) {
    for (const double share : {0.1, 0.25, 0.5, 0.9}) {
        double sum = 0;
        for (int y = 0; y < 100; ++y) {
            for (int x = 0; x < 100; ++x) {
                const double white = optics::noise_as_white({3, share}, std::hypot((x + 0.5) / 200, (y + 0.5) / 200));
                sum += white * white / 10'000;
            }
        }
        EXPECT_NEAR(std::sqrt(sum), 3, 0.6) << share;
    }
}

}  // namespace
}  // namespace hangtrue
