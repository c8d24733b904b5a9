// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/measure.h"

#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "tests/picture/pictures.h"
#include "tests/support/random.h"

namespace hangtrue {
namespace {

using raster::SampleModel;
using test::Grey;

picture::Measured measured(const Grey& grey, SampleModel model = SampleModel::grey, int bits = 8) {
    auto reader = test::reader_of(grey, model, bits);
    base::Progress progress;
    const auto result = picture::measured(reader, progress);
    EXPECT_TRUE(reader.was_read_forwards_once());
    return result;
}

test::MemoryReader rgb_reader(int width, int height, std::vector<std::uint8_t> codes) {
    raster::PictureInfo info;
    info.size = {width, height};
    std::vector<std::byte> bytes;
    for (const auto code : codes) bytes.push_back(static_cast<std::byte>(code));
    return {info, std::move(bytes)};
}

picture::Measured measured(test::MemoryReader reader) {
    base::Progress progress;
    return picture::measured(reader, progress);
}

TEST(picture_noise, clean_pictures_have_less_than_half_a_code) {
    EXPECT_LT(measured(test::shapes(128, 128, 1)).noise.sd_8bit, 0.5);
    EXPECT_LT(measured(test::blurred(test::shapes(128, 128, 2), 0.7)).noise.sd_8bit, 0.5);
    EXPECT_LT(measured(test::shapes(420, 300, 3), SampleModel::rgb, 16).noise.sd_8bit, 0.5);
    EXPECT_EQ(measured(Grey(200, 200, 117)).noise.sd_8bit, 0);
    Grey ramp(128, 128);
    for (int y = 0; y < 128; ++y) {
        for (int x = 0; x < 128; ++x) ramp.at(x, y) = 20 + 1.3 * x + 0.4 * y;
    }
    EXPECT_LT(measured(ramp).noise.sd_8bit, 0.5);
}

// 15 %: what tells a noise threshold enough. Rounding to 8 bits, a third of a code, is taken off again.
TEST(picture_noise, white_noise_of_1_to_10_codes_is_found_within_15_percent) {
    const support::Seeded seeded;
    const Grey scene = test::blurred(test::shapes(340, 270, 5), 0.7);
    for (const double sd : {1.0, 2.0, 4.0, 7.0, 10.0}) {
        Grey noisy = scene;
        test::add_noise(noisy, sd, seeded.seed);
        EXPECT_NEAR(measured(noisy, SampleModel::grey, 8).noise.sd_8bit, sd, 0.15 * sd);
        EXPECT_NEAR(measured(noisy, SampleModel::rgb, 16).noise.sd_8bit, sd, 0.15 * sd);
        Grey flat(300, 300, 128);
        test::add_noise(flat, sd, seeded.seed);
        EXPECT_NEAR(measured(flat).noise.sd_8bit, sd, 0.15 * sd);
    }
}

TEST(picture_noise, clipped_sky_does_not_hide_the_noise) {
    Grey half(400, 300, 120);
    test::add_noise(half, 4, 8);
    for (int y = 0; y < 180; ++y) {
        for (int x = 0; x < 400; ++x) half.at(x, y) = 255;
    }
    EXPECT_NEAR(measured(half).noise.sd_8bit, 4, 0.6);
}

// The shapes bring 0.29 of their own (a pixel gathers light over its width), so blurs add in squares.
TEST(picture_blur, gaussian_blurs_of_0_6_to_2_px_are_found_within_15_percent_and_in_order) {
    const Grey sharp = test::shapes(340, 270, 6);
    double before = 0;
    for (const double sigma : {0.6, 0.8, 1.0, 1.3, 1.6, 2.0}) {
        const double expected = std::hypot(sigma, 0.29);
        const double found = measured(test::blurred(sharp, sigma), SampleModel::rgb, 8).blur.sigma_px;
        EXPECT_NEAR(found, expected, 0.15 * expected);
        EXPECT_GT(found, before);
        before = found;
        Grey noisy = test::blurred(sharp, sigma);
        test::add_noise(noisy, 2, 12);
        EXPECT_NEAR(measured(noisy).blur.sigma_px, expected, 0.2 * expected);
    }
}

TEST(picture_blur, a_crisp_picture_has_0_2_to_0_5_px_and_a_flat_one_none) {
    const double crisp = measured(test::shapes(340, 270, 7)).blur.sigma_px;
    EXPECT_GT(crisp, 0.2);
    EXPECT_LT(crisp, 0.5);
    EXPECT_EQ(measured(Grey(300, 200, 90)).blur.sigma_px, 0);
}

TEST(picture_blur, a_sharp_subject_before_a_soft_background_counts) {
    Grey scene = test::blurred(test::shapes(340, 270, 8), 2.5);
    const Grey subject = test::blurred(test::shapes(340, 270, 9), 0.6);
    for (int y = 80; y < 250; ++y) {
        for (int x = 80; x < 300; ++x) scene.at(x, y) = subject.at(x, y);
    }
    EXPECT_LT(measured(scene).blur.sigma_px, 1.0);
}

TEST(picture_neutral, one_code_apart_is_grey_and_two_are_not) {
    EXPECT_TRUE(measured(rgb_reader(2, 1, {10, 11, 10, 200, 200, 199})).is_neutral);
    EXPECT_FALSE(measured(rgb_reader(2, 1, {10, 12, 10, 200, 200, 200})).is_neutral);
    EXPECT_TRUE(measured(test::shapes(40, 30, 1), SampleModel::grey, 16).is_neutral);
    EXPECT_TRUE(measured(test::shapes(40, 30, 1), SampleModel::rgb, 16).is_neutral);
}

TEST(picture_neutral, a_single_coloured_pixel_among_a_million_is_found) {
    std::vector<std::uint8_t> codes(3u * 1000 * 1000, 77);
    codes[3u * 999'999 + 1] = 90;
    EXPECT_FALSE(measured(rgb_reader(1000, 1000, std::move(codes))).is_neutral);
}

TEST(picture_clipping, counts_the_top_code_in_some_channel_and_0_in_all) {
    const auto result = measured(rgb_reader(4, 1, {255, 3, 4, 0, 0, 0, 0, 0, 1, 254, 254, 254}));
    EXPECT_DOUBLE_EQ(result.clipped_white, 0.25);
    EXPECT_DOUBLE_EQ(result.clipped_black, 0.25);
    Grey grey(10, 10, 100);
    for (int x = 0; x < 10; ++x) grey.at(x, 3) = 255;
    for (int x = 0; x < 5; ++x) grey.at(x, 4) = 0;
    for (const int bits : {8, 16}) {
        EXPECT_DOUBLE_EQ(measured(grey, SampleModel::grey, bits).clipped_white, 0.1);
        EXPECT_DOUBLE_EQ(measured(grey, SampleModel::grey, bits).clipped_black, 0.05);
    }
}

TEST(picture_clipping, lab_is_neutral_within_one_code_of_a_and_b) {
    raster::PictureInfo info;
    info.size = {2, 1};
    info.model = SampleModel::lab;
    const auto lab = [&](std::vector<int> codes) {
        std::vector<std::byte> bytes;
        for (const int code : codes) bytes.push_back(static_cast<std::byte>(code & 255));
        return measured(test::MemoryReader(info, std::move(bytes)));
    };
    EXPECT_TRUE(lab({100, 1, -1, 255, 0, 0}).is_neutral);
    EXPECT_FALSE(lab({100, 2, 0, 255, 0, 0}).is_neutral);
    EXPECT_DOUBLE_EQ(lab({100, 1, -1, 255, 0, 0}).clipped_white, 0.5);
}

TEST(picture_measured, the_smallest_and_the_narrowest_pictures_are_measured) {
    for (const auto& [width, height] : {std::pair{1, 1}, {1, 500}, {500, 1}, {7, 7}, {11, 13}, {33, 65}}) {
        for (const int bits : {8, 16}) {
            for (const auto model : {SampleModel::grey, SampleModel::rgb}) {
                const auto result = measured(Grey(width, height, 200), model, bits);
                EXPECT_EQ(result.noise.sd_8bit, 0);
                EXPECT_EQ(result.blur.sigma_px, 0);
                EXPECT_TRUE(result.is_neutral);
            }
        }
    }
}

TEST(picture_measured, cancelling_is_heeded) {
    auto reader = test::reader_of(Grey(50, 50, 1), SampleModel::grey, 8);
    base::Progress progress;
    progress.cancel();
    EXPECT_THROW(picture::measured(reader, progress), base::Cancelled);
}

}  // namespace
}  // namespace hangtrue
