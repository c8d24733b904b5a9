// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/correction.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <random>

#include "engine/colour/conversion.h"
#include "engine/colour/corrected_way.h"
#include "tests/colour/made_profiles.h"
#include "tests/support/random.h"

namespace hangtrue::colour {
namespace {

double between(std::mt19937_64& random, double least, double most) {
    return std::uniform_real_distribution(least, most)(random);
}

Shift random_shift(std::mt19937_64& random) {
    return {between(random, -12, 12), between(random, -8, 8), between(random, -8, 8), between(random, -0.25, 0.25)};
}

TEST(correction, none_leaves_every_colour) {
    for (double lightness = -5; lightness <= 105; lightness += 0.7) {
        const Lab lab = corrected(no_correction(), {lightness, 12, -34});
        EXPECT_NEAR(lab.lightness, lightness, 1e-9);
        EXPECT_NEAR(lab.a, 12, 1e-9);
        EXPECT_NEAR(lab.b, -34, 1e-9);
    }
}

TEST(correction, of_a_shift_moves_middle_grey_by_it_and_the_ends_not_at_all) {
    const Correction correction = correction_of({4, -3, 2, 0.1});
    const Lab middle = corrected(correction, {50, 0, 0});
    EXPECT_NEAR(middle.lightness, 54, 1e-12);
    EXPECT_NEAR(middle.a, -3, 1e-12);
    EXPECT_NEAR(middle.b, 2, 1e-12);
    for (const double end : {0.0, 100.0}) {
        const Lab lab = corrected(correction, {end, 0, 0});
        EXPECT_EQ(lab.lightness, end);
        EXPECT_EQ(lab.a, 0);
        EXPECT_EQ(lab.b, 0);
    }
}

TEST(correction, contrast_is_the_slope_at_middle_grey) {
    const Correction correction = correction_of({0, 0, 0, 0.12});
    const double rise = corrected(correction, {55, 0, 0}).lightness - corrected(correction, {45, 0, 0}).lightness;
    EXPECT_NEAR(rise / 10, 1.12, 0.0013);  // Over 10 L* the weight falls by a hundredth at the ends.
}

TEST(correction, of_any_shift_is_valid_rises_and_can_be_undone) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int i = 0; i < 200; ++i) {
        const Correction correction = correction_of(random_shift(random));
        ASSERT_TRUE(is_valid(correction));
        double before = -1;
        for (double lightness = 0; lightness <= 100; lightness += 0.5) {
            const Lab grey = corrected(correction, {lightness, 0, 0});
            ASSERT_GT(grey.lightness, before);
            before = grey.lightness;
            const Lab lab{lightness, between(random, -60, 60), between(random, -60, 60)};
            const Lab back = uncorrected(correction, corrected(correction, lab));
            // 60 halvings of 100, at the least slope of 0.05; a colour has three channels, and roots steep near black.
            ASSERT_NEAR(back.lightness, lab.lightness, 1e-6);
            ASSERT_NEAR(back.a, lab.a, 1e-6);
            ASSERT_NEAR(back.b, lab.b, 1e-6);
        }
    }
}

TEST(channels, of_a_grey_are_its_lightness_and_of_any_colour_lead_back) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int i = 0; i < 200; ++i) {
        const double grey = between(random, 0, 100);
        for (const double channel : channels_of(Lab{grey, 0, 0})) ASSERT_NEAR(channel, grey, 1e-9);
        const Lab lab{between(random, 5, 95), between(random, -60, 60), between(random, -60, 60)};
        EXPECT_NEAR(delta_e_76(colour_of(channels_of(lab)), lab), 0, 1e-9);
    }
}

TEST(correction, that_falls_or_moves_an_end_or_is_no_number_is_not_valid) {
    Correction falling = no_correction();
    falling.lightness[10] = 44;
    EXPECT_FALSE(is_valid(falling));
    Correction white = no_correction();
    white.lightness.back() = 99;
    EXPECT_FALSE(is_valid(white));
    Correction tinted_black = no_correction();
    tinted_black.a.front() = 1;
    EXPECT_FALSE(is_valid(tinted_black));
    Correction wild = no_correction();
    wild.b[3] = std::numeric_limits<double>::quiet_NaN();
    EXPECT_FALSE(is_valid(wild));
    EXPECT_TRUE(is_valid(no_correction()));
}

/// Little CMS reads both sides: the file holds the corrected colour, where the file space can hold it.
void expect_corrected_as_read(const Profile& from, const Profile& to, const Correction& correction) {
    const Conversion conversion(WorkingForm(from, SourceModel::rgb, "dawn.tif"), to, {}, {.correction = &correction});
    const LabReader from_reader(from);
    const LabReader to_reader(to);
    double sum = 0;
    double largest = 0;
    int count = 0;
    const std::vector<float> colours = cube_of(14);
    OwnPlanes planes(colours);
    conversion.apply({planes.red, planes.green, planes.blue});
    const std::vector<float> found = planes.interleaved();
    for (std::size_t i = 0; i < colours.size(); i += 3) {
        const Lab wanted = corrected(correction, from_reader.lab({colours[i], colours[i + 1], colours[i + 2]}));
        const std::array<float, 3> rgb{found[i], found[i + 1], found[i + 2]};
        const bool is_inside =
            std::all_of(rgb.begin(), rgb.end(), [](float value) { return value > 0.002F && value < 0.998F; });
        if (!is_inside) continue;
        const double difference = delta_e_2000(wanted, to_reader.lab(rgb));
        sum += difference;
        largest = std::max(largest, difference);
        ++count;
    }
    ASSERT_GT(count, 500);
    EXPECT_LT(sum / count, 0.03) << conversion.error().mean;
    EXPECT_LT(largest, 0.8) << conversion.error().largest;
}

TEST(corrected_conversion, holds_the_corrected_colours_as_little_cms_reads_them) {
    const Correction correction = correction_of({5, 3, -4, -0.1});
    for (const char* name : {"sRGB", "AdobeRGB1998", "ProPhotoRGB"}) {
        SCOPED_TRACE(name);
        expect_corrected_as_read(colord(name), Profile::srgb(), correction);
        expect_corrected_as_read(colord(name), Profile::adobe_rgb(), correction);
    }
}

TEST(corrected_conversion, leaves_white_and_black_exactly_where_they_are) {
    const Correction correction = correction_of({-6, 5, 5, 0.12});
    for (const Profile& to : {Profile::srgb(), Profile::adobe_rgb()}) {
        const Conversion conversion(WorkingForm(Profile::srgb(), SourceModel::rgb, "dawn.tif"), to, {},
                                    {.correction = &correction});
        OwnPlanes planes({1, 1, 1, 0, 0, 0});
        conversion.apply({planes.red, planes.green, planes.blue});
        EXPECT_EQ(planes.interleaved(), (std::vector<float>{1, 1, 1, 0, 0, 0}));
    }
}

TEST(corrected_conversion, through_no_correction_is_the_plain_one_within_a_hundredth) {
    const Correction none = no_correction();
    const WorkingForm form(Profile::adobe_rgb(), SourceModel::rgb, "dawn.tif");
    const std::vector<float> colours = cube_of(14);
    OwnPlanes through(colours);
    OwnPlanes plain(colours);
    Conversion(form, Profile::srgb(), {}, {.correction = &none}).apply({through.red, through.green, through.blue});
    Conversion(form, Profile::srgb(), {}).apply({plain.red, plain.green, plain.blue});
    const LabReader reader(Profile::srgb());
    const auto left = through.interleaved();
    const auto right = plain.interleaved();
    double sum = 0;
    for (std::size_t i = 0; i < left.size(); i += 3) {
        sum += delta_e_2000(reader.lab({left[i], left[i + 1], left[i + 2]}),
                            reader.lab({right[i], right[i + 1], right[i + 2]}));
    }
    EXPECT_LT(sum / (static_cast<double>(left.size()) / 3), 0.03);
}

Correction lighter_shadows() {
    Correction change = no_correction();
    for (std::size_t i = 1; i + 1 < Correction::knots; ++i) {
        const double lightness = Correction::knot_step * static_cast<double>(i);
        change.lightness[i] += 5 * shift_weight(lightness);
    }
    return change;
}

TEST(light_change, of_greys_is_its_curve_and_leaves_them_grey_and_the_ends_alone) {
    const Correction change = lighter_shadows();
    const Conversion conversion(WorkingForm(Profile::srgb(), SourceModel::rgb, "dawn.tif"), Profile::srgb(), {},
                                {.light = &change});
    const LabReader reader(Profile::srgb());
    for (int code = 0; code <= 255; ++code) {
        const float grey = static_cast<float>(code) / 255;
        OwnPlanes planes({grey, grey, grey});
        const Lab before = reader.lab({grey, grey, grey});
        conversion.apply({planes.red, planes.green, planes.blue});
        const Lab after = reader.lab({planes.red[0], planes.green[0], planes.blue[0]});
        // Of a smooth curve the knots' formula holds in between as well; a cube's node lies within 2.6 codes.
        EXPECT_NEAR(after.lightness, before.lightness + 5 * shift_weight(before.lightness), 0.15) << code;
        EXPECT_NEAR(after.a, 0, 0.05);
        EXPECT_NEAR(after.b, 0, 0.05);
        if (code == 0 || code == 255) {
            EXPECT_EQ(planes.red[0], grey);
        }
    }
}

TEST(light_change, brings_no_colour_to_the_end_of_the_file_space_that_was_inside) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const Correction change = lighter_shadows();
    for (const Profile& space : {Profile::srgb(), Profile::adobe_rgb()}) {
        const ExactWay way = corrected_way(space, {.light = &change}, space, {});
        for (int i = 0; i < 5000; ++i) {
            std::array<float, 3> colour{};
            for (float& channel : colour) channel = static_cast<float>(between(random, 0, 1));
            std::array<float, 3> out{};
            way(colour.data(), out.data(), 1);
            for (std::size_t channel = 0; channel < 3; ++channel) {
                ASSERT_GE(out[channel], colour[channel] - 2e-4F);  // Lighter, never darker; the matrix is rounded.
                ASSERT_LE(out[channel], 1 + 2e-4F);
            }
        }
    }
}

TEST(light_change, comes_before_the_correction) {
    const Correction light = lighter_shadows();
    const Correction correction = correction_of({-8, 4, 0, 0.1});
    const ExactWay both =
        corrected_way(Profile::srgb(), {.light = &light, .correction = &correction}, Profile::srgb(), {});
    const ExactWay first = corrected_way(Profile::srgb(), {.light = &light}, Profile::srgb(), {});
    const ExactWay second = corrected_way(Profile::srgb(), {.correction = &correction}, Profile::srgb(), {});
    const std::array<float, 3> colour{0.3F, 0.35F, 0.32F};
    std::array<float, 3> together{};
    std::array<float, 3> in_turn{};
    both(colour.data(), together.data(), 1);
    first(colour.data(), in_turn.data(), 1);
    second(in_turn.data(), in_turn.data(), 1);
    for (std::size_t i = 0; i < 3; ++i) EXPECT_NEAR(together[i], in_turn[i], 1e-5F);
}

}  // namespace
}  // namespace hangtrue::colour
