// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/noise.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <tuple>

#include "engine/optics/noise.h"
#include "engine/picture/measure.h"
#include "tests/picture/pictures.h"
#include "tests/support/random.h"
#include "tests/support/sanitized.h"

namespace hangtrue {
namespace {

using raster::SampleModel;
using test::Grey;

optics::Noise noise_of(const Grey& grey, SampleModel model = SampleModel::grey, int bits = 8) {
    auto reader = test::reader_of(grey, model, bits);
    base::Progress progress;
    return picture::measured(reader, progress).noise;
}

/// The right half is flat: a quiet region beside texture.
Grey leaves_beside_sky(int side, std::uint64_t seed) {
    Grey grey = test::leaves(side, side, seed);
    for (int y = 0; y < side; ++y) {
        for (int x = side / 2; x < side; ++x) grey.at(x, y) = 120 + 0.1 * y;
    }
    return grey;
}

TEST(picture_noise, clean_pictures_have_less_than_half_a_code) {
    EXPECT_LT(noise_of(test::shapes(128, 128, 1)).sd_8bit, 0.5);
    EXPECT_LT(noise_of(test::blurred(test::shapes(128, 128, 2), 0.7)).sd_8bit, 0.5);
    EXPECT_LT(noise_of(test::shapes(420, 300, 3), SampleModel::rgb, 16).sd_8bit, 0.5);
    EXPECT_EQ(noise_of(Grey(200, 200, 117)).sd_8bit, 0);
    Grey ramp(128, 128);
    for (int y = 0; y < 128; ++y) {
        for (int x = 0; x < 128; ++x) ramp.at(x, y) = 20 + 1.3 * x + 0.4 * y;
    }
    EXPECT_LT(noise_of(ramp).sd_8bit, 0.5);
}

TEST(picture_noise, texture_all_over_a_crisp_picture_of_128_px_is_not_noise) {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        EXPECT_LT(noise_of(test::blurred(test::leaves(128, 128, seed), 0.4)).sd_8bit, 0.5) << seed;
        EXPECT_LT(noise_of(leaves_beside_sky(128, seed)).sd_8bit, 0.5) << seed;
    }
}

// 15 %: what tells a noise threshold enough. Rounding to 8 bits, a third of a code, is taken off again.
TEST(picture_noise, white_noise_of_1_to_10_codes_is_found_within_15_percent) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const support::Seeded seeded;
    const Grey scene = test::blurred(test::shapes(340, 270, 5), 0.7);
    for (const double sd : {1.0, 2.0, 4.0, 7.0, 10.0}) {
        Grey noisy = scene;
        test::add_noise(noisy, sd, seeded.seed);
        EXPECT_NEAR(noise_of(noisy, SampleModel::grey, 8).sd_8bit, sd, 0.15 * sd);
        EXPECT_NEAR(noise_of(noisy, SampleModel::rgb, 16).sd_8bit, sd, 0.15 * sd);
        Grey flat(300, 300, 128);
        test::add_noise(flat, sd, seeded.seed);
        const optics::Noise found = noise_of(flat);
        EXPECT_NEAR(found.sd_8bit, sd, 0.15 * sd);
        EXPECT_NEAR(found.coarse_share, optics::white_coarse_share, 0.05);
    }
}

// Of 64 tiles seven are asked, and nine coefficients of each: by chance alone 5 % (one standard deviation).
TEST(picture_noise, noise_of_1_to_3_percent_in_128_px_with_a_quiet_half_is_found_within_20_percent) {
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        for (const double sd : {2.55, 5.1, 7.65}) {
            Grey noisy = leaves_beside_sky(128, seed);
            test::add_noise(noisy, sd, 100 + seed);
            EXPECT_NEAR(noise_of(noisy).sd_8bit, sd, 0.2 * sd) << seed;
        }
    }
}

TEST(picture_noise, under_texture_all_over_noise_is_told_too_low_rather_than_too_high) {
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        for (const double sd : {2.55, 5.1, 7.65}) {
            Grey noisy = test::blurred(test::leaves(128, 128, seed), 0.4);
            test::add_noise(noisy, sd, 100 + seed);
            EXPECT_LT(noise_of(noisy).sd_8bit, 1.25 * sd) << seed;
        }
    }
}

TEST(picture_noise, clipped_sky_does_not_hide_the_noise) {
    Grey half(400, 300, 120);
    test::add_noise(half, 4, 8);
    for (int y = 0; y < 180; ++y) {
        for (int x = 0; x < 400; ++x) half.at(x, y) = 255;
    }
    EXPECT_NEAR(noise_of(half).sd_8bit, 4, 0.6);
}

// Where curves press light and shadow together a quiet white does not stand for the sky beside it.
TEST(picture_noise, a_clean_near_white_does_not_hide_the_noise_of_the_middle_tones) {
    Grey half(400, 304, 120);
    test::add_noise(half, 4, 8);
    for (int y = 0; y < 160; ++y) {
        for (int x = 0; x < 400; ++x) half.at(x, y) = 245;
    }
    EXPECT_NEAR(noise_of(half).sd_8bit, 4, 0.6);
}

TEST(picture_noise, demosaiced_noise_is_found_within_20_percent_and_coarser_than_white) {
    const support::Seeded seeded;
    for (const double sd : {1.0, 2.0, 4.0}) {
        Grey noisy = leaves_beside_sky(320, 4);
        test::add_demosaiced_noise(noisy, sd, seeded.seed);
        const optics::Noise found = noise_of(noisy);
        EXPECT_NEAR(found.sd_8bit, sd, 0.2 * sd);
        EXPECT_GT(found.coarse_share, 0.35);
    }
}

// What coding leaves is known here: the coded sky less the clean one. Its finest part is gone; what sharpening would
// lift is not, and was once taken for a clean picture.
TEST(picture_noise, what_coding_leaves_of_noise_is_found_within_25_percent_after_qualities_75_to_95) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const support::Seeded seeded;
    for (const int quality : {75, 85, 92, 95}) {
        for (const double sd : {2.5, 4.0, 6.0}) {
            const Grey clean = leaves_beside_sky(320, 5);
            Grey noisy = clean;
            test::add_noise(noisy, sd, seeded.seed);
            noisy = test::coded(noisy, quality);
            double sum = 0;
            for (int y = 0; y < 320; ++y) {
                for (int x = 168; x < 320; ++x) sum += std::pow(noisy.at(x, y) - clean.at(x, y), 2);
            }
            const double left = std::sqrt(sum / (320 * 152));
            if (left < 1.5) continue;  // Mostly empty blocks: told too low.
            const optics::Noise found = noise_of(noisy);
            EXPECT_NEAR(found.sd_8bit, left, 0.25 * left) << quality << ' ' << sd;
            EXPECT_GE(found.coarse_share, 0.2) << quality << ' ' << sd;
        }
    }
}

TEST(picture_noise, pictures_too_small_to_tell_have_none) {
    for (const auto& [width, height] : {std::pair{1, 1}, {7, 5}, {15, 300}}) {
        Grey grey(width, height, 100);
        test::add_noise(grey, 5, 3);
        EXPECT_EQ(noise_of(grey).sd_8bit, 0);
    }
}

TEST(picture_noise, the_order_of_the_tiles_does_not_matter) {
    const support::Seeded seeded;
    Grey grey = leaves_beside_sky(128, 9);
    test::add_noise(grey, 3, seeded.seed);
    const std::vector<float> values(grey.values.begin(), grey.values.end());
    std::vector<picture::TileBands> tiles;
    for (std::size_t y = 0; y < 128; y += 16) {
        for (std::size_t x = 0; x < 128; x += 16) {
            if (const auto bands = picture::tile_bands(values.data() + y * 128 + x, 128)) tiles.push_back(*bands);
        }
    }
    const optics::Noise before = picture::noise_of(tiles, 0);
    std::mt19937_64 random(seeded.seed);
    std::ranges::shuffle(tiles, random);
    EXPECT_EQ(picture::noise_of(tiles, 0), before);
}

// Against the transform written out in double. Floats keep seven digits; sums of some hundred squares lose two.
TEST(picture_tile_bands, are_the_means_of_squares_of_nine_cosine_transforms) {
    const support::Seeded seeded;
    Grey grey(40, 16, 128);
    test::add_noise(grey, 20, seeded.seed);
    const std::vector<float> values(grey.values.begin(), grey.values.end());
    const auto bands = picture::tile_bands(values.data() + 11, 40);
    ASSERT_TRUE(bands);
    const auto mean = [&](const auto& holds) {
        double sum = 0;
        int count = 0;
        for (int block = 0; block < 9; ++block) {
            std::array<double, 64> pixels{};
            for (int i = 0; i < 64; ++i) {
                pixels[static_cast<std::size_t>(i)] = static_cast<double>(
                    values[static_cast<std::size_t>(40 * (4 * (block / 3) + i / 8) + 11 + 4 * (block % 3) + i % 8)]);
            }
            const auto transform = test::cosine_transform(pixels, false);
            for (int i = 0; i < 64; ++i) {
                if (!holds(i / 8, i % 8)) continue;
                sum += std::pow(transform[static_cast<std::size_t>(i)], 2);
                ++count;
            }
        }
        return sum / count;
    };
    const auto radius = [](int k, int l) { return k == 0 || l == 0 ? 0 : std::hypot(k, l); };
    const auto expect = [&](float found, double expected) {
        EXPECT_NEAR(static_cast<double>(found), expected, 1e-4 * expected);
    };
    expect(bands->low, mean([](int k, int l) { return k + l >= 1 && k + l <= 3; }));
    expect(bands->mid, mean([&](int k, int l) { return radius(k, l) >= 2.5 && radius(k, l) < 4.5; }));
    expect(bands->fine, mean([](int k, int l) { return std::hypot(k, l) >= 4.5; }));
    expect(bands->across, mean([&](int k, int l) { return radius(k, l) >= 4.5 && std::min(k, l) < 4; }));
    expect(bands->diagonal, mean([](int k, int l) { return std::min(k, l) >= 4; }));
    expect(bands->corner, mean([](int k, int l) { return std::min(k, l) >= 6; }));
}

TEST(picture_tile_bands, a_tile_with_more_than_a_hundredth_clipped_is_left_out) {
    std::vector<float> tile(256, 100);
    tile[3] = tile[70] = 255;
    EXPECT_TRUE(picture::tile_bands(tile.data(), 16));
    tile[200] = 0;
    EXPECT_FALSE(picture::tile_bands(tile.data(), 16));
}

}  // namespace
}  // namespace hangtrue
