// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "engine/colour/conversion.h"
#include "engine/colour/difference.h"
#include "engine/colour/matrix_model.h"
#include "tests/colour/made_profiles.h"

namespace hangtrue::colour {
namespace {

using testing::HasSubstr;
using testing::ThrowsMessage;

template <typename Sample>
OwnPlanes working(const WorkingForm& form, const std::vector<Sample>& samples, int channels) {
    OwnPlanes planes(samples.size() / static_cast<std::size_t>(channels));
    form.from_samples(std::span<const Sample>(samples), {planes.red, planes.green, planes.blue});
    return planes;
}

Lab lab_of(const LabReader& reader, const OwnPlanes& planes, std::size_t i) {
    return reader.lab({planes.red[i], planes.green[i], planes.blue[i]});
}

TEST(working_form, of_a_matrix_profile_keeps_the_pictures_own_samples) {
    const Profile profile = colord("ProPhotoRGB");
    const WorkingForm form(profile, SourceModel::rgb, "dawn.tif");
    EXPECT_TRUE(form.is_own_space());
    EXPECT_EQ(form.profile().hash(), profile.hash());
    const OwnPlanes planes = working<std::uint16_t>(form, {0, 1, 65535, 300, 40000, 777}, 3);
    EXPECT_EQ(planes.red, (std::vector<float>{0, 300 / 65535.0F}));
    EXPECT_EQ(planes.green, (std::vector<float>{1 / 65535.0F, 40000 / 65535.0F}));
    EXPECT_EQ(planes.blue, (std::vector<float>{1, 777 / 65535.0F}));
}

// Y rows of the matrices, computed from the primaries, adapted to D50.
TEST(working_form, weighs_luminance_by_the_space_of_the_picture) {
    const auto srgb = WorkingForm(Profile::srgb(), SourceModel::rgb, "a").luminance_weights();
    EXPECT_NEAR(srgb[0], 0.2225, 1e-4);
    EXPECT_NEAR(srgb[1], 0.7169, 1e-4);
    EXPECT_NEAR(srgb[2], 0.0606, 1e-4);
    const auto adobe = WorkingForm(Profile::adobe_rgb(), SourceModel::rgb, "a").luminance_weights();
    EXPECT_NEAR(adobe[0], 0.3111, 1e-4);
    EXPECT_NEAR(adobe[1], 0.6257, 1e-4);
    EXPECT_NEAR(adobe[0] + adobe[1] + adobe[2], 1, 1e-6);
}

TEST(working_form, goes_to_linear_light_and_back_within_1e_6) {
    for (const char* name : {"sRGB", "AdobeRGB1998", "ProPhotoRGB", "ECI-RGBv2", "WideGamutRGB", "AppleRGB"}) {
        SCOPED_TRACE(name);
        const WorkingForm form(colord(name), SourceModel::rgb, name);
        OwnPlanes planes(3 * 4001);
        for (std::size_t i = 0; i < planes.red.size(); ++i) {
            planes.red[i] = (static_cast<float>(i) - 2000) / 8000;
            planes.green[i] = 1 - planes.red[i];
            planes.blue[i] = 0.1F * planes.red[i];
        }
        const OwnPlanes before = planes;
        form.to_linear({planes.red, planes.green, planes.blue});
        form.to_encoded({planes.red, planes.green, planes.blue});
        for (std::size_t i = 0; i < planes.red.size(); ++i) {
            ASSERT_NEAR(planes.red[i], before.red[i], 1e-6);
            ASSERT_NEAR(planes.green[i], before.green[i], 1e-6);
            ASSERT_NEAR(planes.blue[i], before.blue[i], 1e-6);
        }
    }
}

// IEC 61966-2-1; encode(0.18) from the tests of the colour-science library, the others from the formula.
TEST(working_form, linear_light_of_srgb_has_its_published_values) {
    const WorkingForm form(Profile::srgb(), SourceModel::rgb, "a");
    OwnPlanes planes(
        std::vector<float>{0.461356129500442F, 10 / 255.0F, 64 / 255.0F, 118 / 255.0F, 188 / 255.0F, 200 / 255.0F});
    form.to_linear({planes.red, planes.green, planes.blue});
    EXPECT_NEAR(planes.red[0], 0.18, 1e-6);
    EXPECT_NEAR(planes.green[0], 0.003035, 1e-6);
    EXPECT_NEAR(planes.blue[0], 0.051269, 1e-6);
    EXPECT_NEAR(planes.red[1], 0.181164, 1e-6);
    EXPECT_NEAR(planes.green[1], 0.502886, 1e-6);
    EXPECT_NEAR(planes.blue[1], 0.577580, 1e-6);
}

TEST(working_form, beyond_0_and_1_goes_on_and_never_falls) {
    const WorkingForm form(Profile::adobe_rgb(), SourceModel::rgb, "a");
    OwnPlanes planes(3001);
    for (std::size_t i = 0; i < planes.red.size(); ++i) {
        planes.red[i] = (static_cast<float>(i) - 1000) / 1000;
    }
    planes.green = planes.blue = planes.red;
    form.to_linear({planes.red, planes.green, planes.blue});
    for (std::size_t i = 0; i < planes.red.size(); ++i) {
        ASSERT_TRUE(i == 0 || planes.red[i] > planes.red[i - 1]);
    }
    EXPECT_NEAR(planes.red[0], -1, 1e-6);
    EXPECT_NEAR(planes.red[3000], 1 + 563.0 / 256, 2e-3);
}

TEST(working_form, of_a_grey_picture_is_neutral_and_keeps_black_and_white) {
    for (const Profile& profile : {Profile::srgb_grey(), icc_profiles_free("Gray"), icc_profiles_free("Gray-CIE_L")}) {
        SCOPED_TRACE(profile.description());
        const WorkingForm form(profile, SourceModel::grey, "dawn.tif");
        EXPECT_FALSE(form.is_own_space());
        std::vector<std::uint16_t> samples(65536);
        for (std::size_t i = 0; i < samples.size(); ++i) {
            samples[i] = static_cast<std::uint16_t>(i);
        }
        const OwnPlanes planes = working(form, samples, 1);
        EXPECT_EQ(planes.red, planes.green);
        EXPECT_EQ(planes.red, planes.blue);
        EXPECT_TRUE(std::is_sorted(planes.red.begin(), planes.red.end()));
        EXPECT_EQ(planes.red.front(), 0);
        EXPECT_EQ(planes.red.back(), 1);
        const OwnPlanes shallow = working<std::uint8_t>(form, {0, 128, 255}, 1);
        EXPECT_EQ(shallow.red, (std::vector<float>{0, planes.red[257 * 128], 1}));
    }
}

// 3e-5 is two codes of 16 bits: the profile's curve is a table of 1024 entries.
TEST(working_form, of_grey_with_the_srgb_curve_is_the_picture_itself) {
    const WorkingForm form(Profile::srgb_grey(), SourceModel::grey, "dawn.tif");
    const OwnPlanes planes = working<std::uint8_t>(form, {40, 128, 250}, 1);
    EXPECT_NEAR(planes.red[0], 40 / 255.0, 3e-5);
    EXPECT_NEAR(planes.red[1], 128 / 255.0, 3e-5);
    EXPECT_NEAR(planes.red[2], 250 / 255.0, 3e-5);
}

TEST(working_form, of_a_table_profile_is_the_same_colour_unclipped) {
    const Profile printer = made_print_condition();
    const WorkingForm form(printer, SourceModel::rgb, "dawn.tif");
    EXPECT_FALSE(form.is_own_space());
    std::vector<std::uint16_t> samples;
    for (const float value : cube_of(9)) {
        samples.push_back(static_cast<std::uint16_t>(std::lround(65535 * value)));
    }
    const OwnPlanes planes = working(form, samples, 3);
    const LabReader source(printer);
    const LabReader found(form.profile());
    for (std::size_t i = 0; i < planes.red.size(); ++i) {
        const Lab expected =
            source.lab({static_cast<float>(samples[3 * i]) / 65535, static_cast<float>(samples[3 * i + 1]) / 65535,
                        static_cast<float>(samples[3 * i + 2]) / 65535});
        // The reader takes the form's curve from its table of 16 bits, near black a few hundredths off.
        ASSERT_LT(delta_e_2000(lab_of(found, planes, i), expected), 0.05);
    }
    EXPECT_EQ(planes.red.back(), 1);
    EXPECT_EQ(planes.green.back(), 1);
    EXPECT_EQ(planes.blue.back(), 1);
}

TEST(working_form, of_lab_samples_is_the_colour_they_name) {
    const WorkingForm form(Profile::lab(), SourceModel::lab, "dawn.tif");
    const LabReader reader(form.profile());
    const OwnPlanes deep = working<std::uint16_t>(
        form, {32768, 128 * 256, 128 * 256, 45000, 150 * 256, 100 * 256, 65535, 32768, 32768, 0, 32768, 32768}, 3);
    EXPECT_LT(delta_e_2000(lab_of(reader, deep, 0), {50.0008, 0, 0}), 0.02);
    EXPECT_LT(delta_e_2000(lab_of(reader, deep, 1), {100 * 45000 / 65535.0, 22, -28}), 0.02);
    // White is the PCS white, in floats.
    EXPECT_NEAR(deep.red[2], 1, 1e-6);
    EXPECT_NEAR(deep.green[2], 1, 1e-6);
    EXPECT_NEAR(deep.blue[2], 1, 1e-6);
    EXPECT_NEAR(deep.green[3], 0, 1e-6);
    const OwnPlanes shallow = working<std::uint8_t>(form, {128, 118, 140}, 3);
    EXPECT_LT(delta_e_2000(lab_of(reader, shallow, 0), {100 * 128 / 255.0, -10, 12}), 0.02);
}

TEST(working_form, with_a_profile_of_another_kind_is_refused_in_a_sentence) {
    EXPECT_THAT([] { WorkingForm(Profile::srgb(), SourceModel::grey, "dawn.tif"); },
                ThrowsMessage<base::UnreadableInput>(HasSubstr("dawn.tif holds grey samples, but the profile in it "
                                                               "(\"sRGB IEC61966-2.1\") is for RGB")));
    EXPECT_THROW(WorkingForm(Profile::srgb_grey(), SourceModel::rgb, "dawn.tif"), base::UnreadableInput);
    EXPECT_THROW(WorkingForm(Profile::srgb(), SourceModel::lab, "dawn.tif"), base::UnreadableInput);
}

}  // namespace
}  // namespace hangtrue::colour
