// SPDX-License-Identifier: Apache-2.0
#include "engine/render/quantise.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/base/hash.h"
#include "tests/support/every_target.h"
#include "tests/support/random.h"

namespace hangtrue::render {
namespace {

using support::for_every_target;

/// The clear reference.
int code_8(float value, int x, int y, int channel, bool dithered) {
    const double place = base::place_hash(static_cast<std::uint32_t>(x), static_cast<std::uint32_t>(y),
                                          static_cast<std::uint32_t>(channel)) >>
                         8;
    const double dither = dithered ? 0.9999 * place / 16777216.0 - 0.49995 : 0;
    return static_cast<int>(std::nearbyint(std::clamp(static_cast<double>(value), 0.0, 1.0) * 255 + dither));
}

TEST(render_quantise, eight_bit_codes_are_those_of_the_reference_for_every_width_and_target) {
    const support::Seeded seeded;
    for_every_target([&] {
        std::mt19937_64 random(seeded.seed);
        std::uniform_real_distribution<float> any(-0.1F, 1.1F);
        for (const std::size_t width : {1U, 2U, 7U, 16U, 17U, 63U, 257U}) {
            std::vector<float> planes[3];
            for (auto& plane : planes) {
                for (std::size_t i = 0; i < width; ++i) plane.push_back(any(random));
            }
            std::vector<std::uint8_t> out(3 * width);
            quantise_row_8({planes[0].data(), planes[1].data(), planes[2].data(), width}, 511, 77, Dither::each_channel,
                           out);
            for (std::size_t i = 0; i < width; ++i) {
                for (std::size_t c = 0; c < 3; ++c) {
                    const int expected = code_8(planes[c][i], 511 + static_cast<int>(i), 77, static_cast<int>(c), true);
                    // One code: the reference rounds the product in double, the kernel in float.
                    ASSERT_NEAR(out[3 * i + c], expected, 1);
                }
            }
        }
    });
}

TEST(render_quantise, a_value_that_is_a_code_keeps_it_under_dither_white_and_black_too) {
    for_every_target([] {
        std::vector<float> plane;
        for (int code = 0; code < 256; ++code) plane.push_back(static_cast<float>(code) / 255.0F);
        std::vector<std::uint8_t> out(3 * plane.size());
        for (int y = 0; y < 200; ++y) {
            quantise_row_8({plane.data(), plane.data(), plane.data(), plane.size()}, y * 13, y, Dither::each_channel,
                           out);
            for (std::size_t i = 0; i < plane.size(); ++i) {
                ASSERT_EQ(out[3 * i], i);
                ASSERT_EQ(out[3 * i + 1], i);
                ASSERT_EQ(out[3 * i + 2], i);
            }
        }
    });
}

TEST(render_quantise, dither_keeps_the_mean_of_a_value_between_two_codes) {
    std::vector<float> plane(1000, 100.3F / 255.0F);
    std::vector<std::uint8_t> out(3 * plane.size());
    double sum = 0;
    for (int y = 0; y < 1000; ++y) {
        quantise_row_8({plane.data(), plane.data(), plane.data(), plane.size()}, 0, y, Dither::each_channel, out);
        for (const std::uint8_t code : out) {
            ASSERT_TRUE(code == 100 || code == 101);
            sum += code;
        }
    }
    // Standard deviation of the mean of 3 million draws: 0.00026; four of them.
    EXPECT_NEAR(sum / 3e6, 100.3, 0.00106);
}

TEST(render_quantise, neighbours_rows_and_channels_are_dithered_independently) {
    std::vector<float> plane(4096, 0.5F / 255.0F);
    std::vector<std::uint8_t> rows[2] = {std::vector<std::uint8_t>(3 * plane.size()),
                                         std::vector<std::uint8_t>(3 * plane.size())};
    double next_x = 0;
    double next_y = 0;
    double next_channel = 0;
    int count = 0;
    for (int y = 0; y < 64; ++y) {
        for (int k = 0; k < 2; ++k)
            quantise_row_8({plane.data(), plane.data(), plane.data(), plane.size()}, 0, y + k, Dither::each_channel,
                           rows[k]);
        for (std::size_t i = 0; i + 1 < plane.size(); ++i, ++count) {
            const double here = rows[0][3 * i] - 0.5;
            next_x += here * (rows[0][3 * i + 3] - 0.5);
            next_y += here * (rows[1][3 * i] - 0.5);
            next_channel += here * (rows[0][3 * i + 1] - 0.5);
        }
    }
    // Correlation of 262,080 pairs: standard deviation 0.002; five of them, in units of the variance 1/4.
    EXPECT_NEAR(4 * next_x / count, 0, 0.01);
    EXPECT_NEAR(4 * next_y / count, 0, 0.01);
    EXPECT_NEAR(4 * next_channel / count, 0, 0.01);
}

TEST(render_quantise, sixteen_bit_codes_round_to_nearest_and_every_code_survives) {
    for_every_target([] {
        std::vector<float> plane;
        for (int code = 0; code < 65536; ++code) plane.push_back(static_cast<float>(code) / 65535.0F);
        plane.push_back(0.4F / 65535.0F);
        plane.push_back(0.6F / 65535.0F);
        plane.push_back(1.5F);
        plane.push_back(-0.5F);
        std::vector<std::uint16_t> out(3 * plane.size());
        quantise_row_16({plane.data(), plane.data(), plane.data(), plane.size()}, out);
        for (std::size_t code = 0; code < 65536; ++code) ASSERT_EQ(out[3 * code + 2], code);
        EXPECT_EQ(out[3 * 65536], 0);
        EXPECT_EQ(out[3 * 65537], 1);
        EXPECT_EQ(out[3 * 65538], 65535);
        EXPECT_EQ(out[3 * 65539], 0);
    });
}

}  // namespace
}  // namespace hangtrue::render
