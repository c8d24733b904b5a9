// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/detail.h"

#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "tests/picture/known_truth.h"
#include "tests/picture/pictures.h"
#include "tests/support/random.h"
#include "tests/support/sanitized.h"

namespace hangtrue {
namespace {

using raster::SampleModel;
using test::Grey;

picture::Detail detail_of(const Grey& grey, SampleModel model = SampleModel::grey, int bits = 8, int threads = 1) {
    auto reader = test::reader_of(grey, model, bits);
    base::Progress progress;
    return picture::detail(reader, progress, threads);
}

Grey noisy(Grey grey, double sd, std::uint64_t seed) {
    test::add_noise(grey, sd, seed);
    return grey;
}

class picture_detail_of_photographs : public testing::TestWithParam<const char*> {
  protected:
    void SetUp() override {
        if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    }
};

// Structure ends at a frequency by construction; 10 %.
TEST_P(picture_detail_of_photographs, ends_where_an_ideal_low_pass_ended_it) {
    const support::Seeded seeded;
    const Grey sharp = test::middle_of(test::reduced_photograph(GetParam()), 512, 448);
    const test::Frequencies frequencies(sharp);
    for (const double limit : {0.12, 0.2, 0.3, 0.4}) {
        const Grey soft = frequencies.times([&](double f) { return f <= limit ? 1.0 : 0.0; });
        for (const double sd : {1.0, 3.0}) {
            const Grey grainy = noisy(soft, sd, seeded.seed);
            EXPECT_NEAR(detail_of(grainy).measured.detail_cycles_per_px, limit, 0.1 * limit) << sd;
            EXPECT_NEAR(detail_of(test::coded(grainy, 90)).measured.detail_cycles_per_px, limit, 0.1 * limit)
                << sd << " as a JPEG of quality 90";
        }
    }
}

TEST_P(picture_detail_of_photographs, is_full_where_nothing_ended_it) {
    EXPECT_GE(detail_of(test::reduced_photograph(GetParam())).measured.detail_cycles_per_px, 0.45);
}

// The sharp picture's power times the square of the blur's transfer falls to the noise that was added: that crossing,
// found here by plain search, is the answer. 15 %.
TEST_P(picture_detail_of_photographs, of_gaussian_blurs_is_what_the_formula_gives_and_in_order) {
    const support::Seeded seeded;
    const Grey sharp = test::middle_of(test::reduced_photograph(GetParam()), 512, 448);
    const picture::Detail clean = detail_of(sharp);
    const test::Frequencies frequencies(sharp);
    for (const double sd : {1.0, 3.0}) {
        double before = 1;
        for (const double sigma : {0.7, 1.0, 1.5, 2.0}) {
            const auto transfer = [&](double f) { return std::exp(-2 * std::pow(std::numbers::pi * sigma * f, 2)); };
            double expected = 0.5;
            for (const auto& [frequency, power, noise] : clean.spectrum) {
                const double left = std::max(power - noise, 0.0) * std::pow(transfer(frequency), 2);
                if (frequency > 0.04 && left < sd * sd + 1.0 / 12) {
                    expected = frequency;
                    break;
                }
            }
            const double found =
                detail_of(noisy(frequencies.times(transfer), sd, seeded.seed)).measured.detail_cycles_per_px;
            EXPECT_NEAR(found, expected, 0.15 * expected) << sigma << " px, noise " << sd;
            EXPECT_LT(found, before) << sigma << " px, noise " << sd;
            before = found;
        }
    }
}

// Noise of the photograph itself adds in squares. 10 %; and 15 % of a single code, which texture hides best, and of the
// stream between moss, where no part is quiet.
TEST_P(picture_detail_of_photographs, noise_added_of_1_to_10_codes_is_found_within_10_to_15_percent) {
    const support::Seeded seeded;
    const Grey sharp = test::reduced_photograph(GetParam());
    const double own = detail_of(sharp).measured.noise.sd_8bit;
    for (const double sd : {1.0, 2.0, 3.0, 5.0, 7.0, 10.0}) {
        const double expected = std::hypot(sd, own);
        const double allowed = (sd < 2 || std::string(GetParam()) == "life" ? 0.15 : 0.1) * expected;
        EXPECT_NEAR(detail_of(noisy(sharp, sd, seeded.seed)).measured.noise.sd_8bit, expected, allowed) << sd;
    }
}

TEST_P(picture_detail_of_photographs, was_not_enlarged_before_and_shows_no_blocks) {
    const picture::Measured measured = detail_of(test::reduced_photograph(GetParam())).measured;
    EXPECT_EQ(measured.enlarged_before, 1);
    EXPECT_LT(measured.blocking, 1.1);
    EXPECT_LT(measured.halo_overshoot, 0.05);
}

// 1 %: the sides of the enlarged picture are whole pixels.
TEST_P(picture_detail_of_photographs, enlarged_by_a_cubic_says_how_many_times) {
    const Grey sharp = test::middle_of(test::reduced_photograph(GetParam()), 512, 448);
    for (const double factor : {1.5, 2.0, 3.0}) {
        const picture::Measured measured = detail_of(test::enlarged(sharp, factor)).measured;
        EXPECT_NEAR(measured.enlarged_before, factor, 0.01 * factor);
        EXPECT_LE(measured.detail_cycles_per_px, 0.505 / factor);
        EXPECT_GE(measured.detail_cycles_per_px, 0.4 / factor);
    }
}

INSTANTIATE_TEST_SUITE_P(demo, picture_detail_of_photographs,
                         testing::Values("picosdeeuropa", "life", "sunset", "aitzgorri"),
                         [](const auto& given) { return std::string(given.param); });

TEST(picture_detail, sky_and_blur_in_depth_do_not_hide_the_sharp_part) {
    const Grey sharp = test::leaves(512, 448, 3);
    const Grey soft = test::blurred(sharp, 4);
    Grey mixed = soft;
    for (int y = 0; y < mixed.height; ++y) {
        for (int x = 0; x < mixed.width; ++x) {
            if (y < 192) mixed.at(x, y) = 150 + 0.05 * y;
            if (x >= 192 && x < 384 && y >= 256) mixed.at(x, y) = sharp.at(x, y);
        }
    }
    const picture::Detail found = detail_of(noisy(mixed, 1, 5));
    EXPECT_GT(found.measured.detail_cycles_per_px, 0.45);
    EXPECT_LT(detail_of(noisy(soft, 1, 5)).measured.detail_cycles_per_px, 0.2);
    ASSERT_FALSE(found.sharpest.empty());
    for (const base::PixelRect& part : found.sharpest) {
        EXPECT_GE(part.x + part.width, 192);
        EXPECT_LE(part.x, 384);
        EXPECT_GE(part.y + part.height, 256);
    }
}

// The unsharp mask adds `amount` times what the Gaussian of `radius` takes away. Beside a step blurred by `sigma` that
// overshoots by the largest of amount (Phi(x / sigma) - Phi(x / s)) - (1 - Phi(x / sigma)), s^2 = sigma^2 + radius^2.
TEST(picture_detail, halos_of_an_unsharp_mask_are_as_high_as_its_formula_says) {
    const double sigma = 0.8;
    for (const auto& [amount, radius] : {std::pair{0.5, 1.5}, std::pair{1.0, 2.0}, std::pair{1.5, 1.2}}) {
        Grey wide(384, 384, 60);
        for (int y = 0; y < wide.height; ++y) {
            for (int x = 0; x < wide.width; ++x) {
                if (((x / 64) + (y / 64)) % 2 == 0) wide.at(x, y) = 180;
            }
        }
        const Grey edges = test::blurred(wide, sigma);
        const Grey blurred = test::blurred(edges, radius);
        Grey sharpened = edges;
        for (std::size_t i = 0; i < edges.values.size(); ++i)
            sharpened.values[i] += amount * (edges.values[i] - blurred.values[i]);
        const auto step = [](double x, double s) { return 0.5 * std::erfc(-x / (s * std::numbers::sqrt2)); };
        double expected = 0;
        for (double x = 0; x < 10; x += 0.5) {
            const double wider = std::hypot(sigma, radius);
            expected = std::max(expected, (1 + amount) * step(x, sigma) - amount * step(x, wider) - 1);
        }
        // 0.03: samples may miss the top by half a pixel.
        EXPECT_NEAR(detail_of(sharpened).measured.halo_overshoot, expected, 0.03) << amount;
        EXPECT_LT(detail_of(edges).measured.halo_overshoot, 0.01);
    }
}

// Wang, Sheikh, Bovik 2002: blocks make the differences across their borders larger. What a JPEG of quality 95 leaves
// is faint, of quality 50 plain.
TEST(picture_detail, blocks_of_a_coarse_jpeg_stand_out_and_those_of_a_fine_one_hardly) {
    const Grey scene = test::blurred(test::leaves(256, 256, 9), 2);
    const double none = detail_of(scene).measured.blocking;
    EXPECT_NEAR(none, 1, 0.05);
    const double fine = detail_of(test::coded(scene, 95)).measured.blocking;
    const double coarse = detail_of(test::coded(scene, 50)).measured.blocking;
    EXPECT_LT(fine, coarse);
    EXPECT_GT(coarse, 1.1);
}

TEST(picture_detail, noise_is_told_by_brightness_where_it_grows_with_light) {
    const support::Seeded seeded;
    Grey steps(768, 512);
    for (int y = 0; y < steps.height; ++y) {
        for (int x = 0; x < steps.width; ++x) steps.at(x, y) = 32 * (x / 96) + 16;
    }
    std::mt19937_64 random(seeded.seed);
    std::normal_distribution<double> normal(0, 1);
    for (double& value : steps.values) value += (1 + value / 64) * normal(random);
    const auto found = detail_of(steps).noise_by_brightness;
    ASSERT_GE(found.size(), 6u);
    for (const auto& [luminance, sd] : found) EXPECT_NEAR(sd, 1 + luminance / 64, 0.15 * (1 + luminance / 64));
}

TEST(picture_detail, is_the_same_for_any_number_of_threads) {
    const Grey scene = noisy(test::leaves(300, 270, 4), 2, 1);
    const picture::Detail one = detail_of(scene);
    for (const int threads : {2, 3}) {
        const picture::Detail several = detail_of(scene, SampleModel::grey, 8, threads);
        EXPECT_EQ(several.measured, one.measured);
        EXPECT_EQ(several.sharpest, one.sharpest);
        for (std::size_t i = 0; i < one.spectrum.size(); ++i)
            EXPECT_EQ(several.spectrum[i].power, one.spectrum[i].power);
    }
}

TEST(picture_detail, of_pictures_with_nothing_in_them_is_nought_and_never_fails) {
    for (const auto& [width, height] :
         {std::pair{1, 1}, {1, 500}, {500, 1}, {15, 15}, {16, 16}, {17, 300}, {140, 130}}) {
        for (const double value : {0.0, 117.0, 255.0}) {
            for (const int bits : {8, 16}) {
                const picture::Detail flat = detail_of(Grey(width, height, value), SampleModel::rgb, bits);
                EXPECT_EQ(flat.measured.detail_cycles_per_px, 0) << width << ' ' << value;
                EXPECT_EQ(flat.measured.enlarged_before, 1);
                EXPECT_EQ(flat.measured.halo_overshoot, 0);
                EXPECT_TRUE(std::isfinite(flat.measured.blocking));
            }
        }
    }
    EXPECT_EQ(detail_of(noisy(Grey(300, 300, 128), 5, 3)).measured.detail_cycles_per_px, 0);
}

TEST(picture_detail, of_a_picture_of_16_px_or_of_16_bits_or_grey_is_told_too) {
    EXPECT_GT(detail_of(test::leaves(16, 16, 2)).measured.detail_cycles_per_px, 0.2);
    const Grey scene = noisy(test::blurred(test::leaves(256, 200, 8), 1.5), 1, 2);
    const double grey = detail_of(scene).measured.detail_cycles_per_px;
    EXPECT_NEAR(detail_of(scene, SampleModel::rgb, 16).measured.detail_cycles_per_px, grey, 0.05 * grey);
    EXPECT_GT(grey, 0.15);
    EXPECT_LT(grey, 0.3);
}

TEST(picture_detail, cancels_while_it_measures) {
    auto reader = test::reader_of(Grey(300, 300, 90), SampleModel::grey, 8);
    base::Progress progress;
    progress.cancel();
    EXPECT_THROW(picture::detail(reader, progress, 2), base::Cancelled);
}

// The steps of the common coders at quality q are 200 - 2q percent of the example table, below 50 5000 / q percent.
TEST(picture_detail, jpeg_quality_is_the_inverse_of_the_common_scale) {
    EXPECT_EQ(picture::jpeg_quality(0.2), 90);
    EXPECT_EQ(picture::jpeg_quality(0.5), 75);
    EXPECT_EQ(picture::jpeg_quality(1), 50);
    EXPECT_EQ(picture::jpeg_quality(2), 25);
    EXPECT_EQ(picture::jpeg_quality(0), 0);
}

TEST(picture_detail, a_quarter_of_the_pixels_holds_structure_that_ends_at_a_quarter_cycle) {
    EXPECT_DOUBLE_EQ(picture::true_pixels({6000, 4000}, 0.25), 6e6);
    EXPECT_DOUBLE_EQ(picture::true_pixels({6000, 4000}, 0.5), 24e6);
}

}  // namespace
}  // namespace hangtrue
