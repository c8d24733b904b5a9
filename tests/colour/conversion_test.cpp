// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/conversion.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <thread>

#include "engine/base/error.h"
#include "engine/colour/difference.h"
#include "tests/colour/made_profiles.h"
#include "tests/support/random.h"

namespace hangtrue::colour {
namespace {

using testing::HasSubstr;
using testing::ThrowsMessage;

Conversion conversion(const Profile& from, const Profile& to, const ConversionSettings& settings = {}) {
    return Conversion(WorkingForm(from, SourceModel::rgb, "dawn.tif"), to, settings);
}

std::vector<float> converted(const Conversion& conversion, const std::vector<float>& colours) {
    OwnPlanes planes(colours);
    conversion.apply({planes.red, planes.green, planes.blue});
    return planes.interleaved();
}

struct Differences {
    double mean = 0;
    double percentile_99 = 0;
    double largest = 0;
};

Differences differences(const Profile& space, const std::vector<float>& first, const std::vector<float>& second) {
    const LabReader reader(space);
    std::vector<Lab> first_lab(first.size() / 3);
    std::vector<Lab> second_lab(first.size() / 3);
    reader.lab(first, first_lab);
    reader.lab(second, second_lab);
    std::vector<double> values(first_lab.size());
    Differences result;
    for (std::size_t i = 0; i < values.size(); ++i) {
        values[i] = delta_e_2000(first_lab[i], second_lab[i]);
        result.mean += values[i] / static_cast<double>(values.size());
    }
    std::sort(values.begin(), values.end());
    result.percentile_99 = values[values.size() * 99 / 100];
    result.largest = values.back();
    return result;
}

// The promise is 0.1 dE00 anywhere in the cube. What remains is Little CMS's side: its tables of curves
// turned round have 4096 entries of 16 bits, which is coarse near black.
TEST(matrix_conversion, is_within_0_1_of_little_cms_exact_path_over_the_cube) {
    const std::vector<float> colours = cube_of(31);
    for (const char* name : {"sRGB", "AdobeRGB1998", "ProPhotoRGB", "ECI-RGBv2", "ECI-RGBv1", "WideGamutRGB", "Rec709",
                             "SwappedRedAndGreen", "AppleRGB"}) {
        const Profile from = colord(name);
        for (const Profile& to : {Profile::srgb(), Profile::adobe_rgb(), colord("sRGB"), colord("AdobeRGB1998")}) {
            SCOPED_TRACE(testing::Message() << name << " to " << to.description());
            const Conversion conversion_here = conversion(from, to);
            EXPECT_EQ(conversion_here.path(), Path::matrix);
            const Differences found =
                differences(to, converted(conversion_here, colours), Reference(from, to)(colours));
            EXPECT_LT(found.largest, 0.1);
            EXPECT_LT(found.mean, 0.01);
        }
    }
}

TEST(matrix_conversion, of_profiles_with_tables_of_curves_is_within_0_1) {
    const std::vector<float> colours = cube_of(21);
    for (const char* name : {"sRGB", "LStar-RGB", "compatibleWithAdobeRGB1998"}) {
        SCOPED_TRACE(name);
        const Profile from = icc_profiles_free(name);
        const Differences found = differences(Profile::srgb(), converted(conversion(from, Profile::srgb()), colours),
                                              Reference(from, Profile::srgb())(colours));
        EXPECT_LT(found.largest, 0.1);
    }
}

TEST(matrix_conversion, of_a_profile_with_red_and_green_swapped_shows_that_it_is_applied) {
    const std::vector<float> colours = cube_of(11);
    const Profile from = colord("SwappedRedAndGreen");
    const std::vector<float> found = converted(conversion(from, Profile::srgb()), colours);
    EXPECT_LT(differences(Profile::srgb(), found, Reference(from, Profile::srgb())(colours)).largest, 0.1);
    EXPECT_GT(differences(Profile::srgb(), found, colours).largest, 50);
}

TEST(matrix_conversion, perceptual_saturation_and_no_compensation_are_the_same_bytes) {
    const std::vector<float> colours = cube_of(9);
    const Profile from = colord("ProPhotoRGB");
    const std::vector<float> relative = converted(conversion(from, Profile::srgb()), colours);
    for (const Intent intent : {Intent::perceptual, Intent::saturation}) {
        EXPECT_EQ(converted(conversion(from, Profile::srgb(), {intent, true}), colours), relative);
        const int lcms_intent = intent == Intent::perceptual ? INTENT_PERCEPTUAL : INTENT_SATURATION;
        EXPECT_LT(
            differences(Profile::srgb(), relative, Reference(from, Profile::srgb(), lcms_intent)(colours)).largest,
            0.1);
    }
    EXPECT_EQ(converted(conversion(from, Profile::srgb(), {Intent::relative_colorimetric, false}), colours), relative);
}

TEST(matrix_conversion, absolute_colorimetry_is_within_0_1_of_little_cms) {
    const std::vector<float> colours = cube_of(15);
    const ConversionSettings absolute{Intent::absolute_colorimetric, false};
    for (const char* name : {"AdobeRGB1998", "ProPhotoRGB", "Bluish"}) {
        SCOPED_TRACE(name);
        const Profile from = colord(name);
        const Reference reference(from, Profile::srgb(), INTENT_ABSOLUTE_COLORIMETRIC, 0);
        EXPECT_LT(differences(Profile::srgb(), converted(conversion(from, Profile::srgb(), absolute), colours),
                              reference(colours))
                      .largest,
                  0.1);
    }
}

TEST(matrix_conversion, every_one_of_65536_greys_stays_grey_to_the_last_bit) {
    std::vector<float> greys;
    for (int code = 0; code < 65536; ++code) {
        greys.insert(greys.end(), 3, static_cast<float>(code) / 65535.0F);
    }
    for (const char* name : {"sRGB", "AdobeRGB1998", "ProPhotoRGB", "ECI-RGBv2", "WideGamutRGB"}) {
        for (const Profile& to : {Profile::srgb(), Profile::adobe_rgb()}) {
            SCOPED_TRACE(testing::Message() << name << " to " << to.description());
            const std::vector<float> found = converted(conversion(colord(name), to), greys);
            for (std::size_t i = 0; i < found.size(); i += 3) {
                ASSERT_EQ(found[i], found[i + 1]);
                ASSERT_EQ(found[i], found[i + 2]);
                ASSERT_TRUE(i == 0 || found[i] >= found[i - 3]);
            }
            EXPECT_EQ(found.front(), 0);
            EXPECT_EQ(found.back(), 1);
        }
    }
}

TEST(matrix_conversion, of_a_grey_picture_gives_equal_red_green_and_blue) {
    for (const Profile& profile : {Profile::srgb_grey(), icc_profiles_free("Gray")}) {
        const WorkingForm form(profile, SourceModel::grey, "dawn.tif");
        std::vector<std::uint16_t> samples(65536);
        for (std::size_t i = 0; i < samples.size(); ++i) {
            samples[i] = static_cast<std::uint16_t>(i);
        }
        OwnPlanes planes(samples.size());
        form.from_samples(std::span<const std::uint16_t>(samples), {planes.red, planes.green, planes.blue});
        Conversion(form, Profile::srgb(), {}).apply({planes.red, planes.green, planes.blue});
        EXPECT_EQ(planes.red, planes.green);
        EXPECT_EQ(planes.red, planes.blue);
        EXPECT_EQ(planes.red.front(), 0);
        EXPECT_EQ(planes.red.back(), 1);
    }
}

TEST(matrix_conversion, to_the_pictures_own_profile_only_clips) {
    const std::vector<float> colours{-0.25F, 0.1234567F, 1.5F, 0.0F, 1.0F, 0.9999999F};
    EXPECT_EQ(converted(conversion(Profile::adobe_rgb(), Profile::adobe_rgb()), colours),
              (std::vector<float>{0, 0.1234567F, 1, 0, 1, 0.9999999F}));
}

TEST(matrix_conversion, clips_what_lies_beyond_the_file_space) {
    const std::vector<float> found =
        converted(conversion(colord("ProPhotoRGB"), Profile::srgb()), {0, 1, 0, 1.2F, -0.1F, 0, 2, 2, 2});
    for (const float value : found) {
        EXPECT_GE(value, 0);
        EXPECT_LE(value, 1);
    }
    EXPECT_EQ(found[0], 0);
    EXPECT_EQ(found[6], 1);
}

TEST(matrix_conversion, gives_the_same_bytes_on_every_thread_and_for_every_cut) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::uniform_real_distribution<float> spread(0, 1);
    std::vector<float> colours(3 * 1009);
    for (float& value : colours) {
        value = spread(random);
    }
    for (const Profile& to : {Profile::srgb(), made_print_condition()}) {
        const Conversion shared = conversion(colord("ProPhotoRGB"), to);
        const std::vector<float> whole = converted(shared, colours);
        std::vector<std::vector<float>> parts(4);
        {
            std::vector<std::jthread> threads;
            for (std::size_t t = 0; t < parts.size(); ++t) {
                threads.emplace_back([&, t] {
                    const std::size_t step = 1 + 6 * t;
                    for (std::size_t start = 0; start < 1009; start += step) {
                        const std::size_t count = std::min(step, 1009 - start);
                        const std::vector<float> part(
                            colours.begin() + static_cast<std::ptrdiff_t>(3 * start),
                            colours.begin() + static_cast<std::ptrdiff_t>(3 * (start + count)));
                        const std::vector<float> out = converted(shared, part);
                        parts[t].insert(parts[t].end(), out.begin(), out.end());
                    }
                });
            }
        }
        for (const std::vector<float>& part : parts) {
            EXPECT_EQ(part, whole);
        }
    }
}

// The bounds are the promise for table profiles; the measure is taken apart from the one in the engine.
TEST(table_conversion, to_a_print_condition_keeps_its_promise) {
    const Profile printer = made_print_condition();
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::uniform_real_distribution<float> spread(0, 1);
    std::vector<float> colours(3 * 30000);
    for (float& value : colours) {
        value = spread(random);
    }
    for (const char* name : {"sRGB", "AdobeRGB1998", "ProPhotoRGB"}) {
        for (const Intent intent : {Intent::relative_colorimetric, Intent::perceptual}) {
            SCOPED_TRACE(testing::Message() << name << " intent " << static_cast<int>(intent));
            const Profile from = colord(name);
            const Conversion to_printer = conversion(from, printer, {intent, true});
            const int lcms_intent = intent == Intent::perceptual ? INTENT_PERCEPTUAL : INTENT_RELATIVE_COLORIMETRIC;
            const Differences found =
                differences(printer, converted(to_printer, colours), Reference(from, printer, lcms_intent)(colours));
            EXPECT_LE(found.mean, 0.03);
            EXPECT_LE(found.percentile_99, 0.2);
            EXPECT_LE(found.largest, 0.8);
            if (to_printer.path() == Path::table) {
                // What the engine says of itself is what is found here, within the luck of the draw.
                EXPECT_NEAR(to_printer.error().mean, found.mean, 0.005);
                EXPECT_GT(to_printer.error().largest, 0);
            } else {
                EXPECT_EQ(to_printer.path(), Path::exact);
                EXPECT_EQ(found.largest, 0);
            }
            RecordProperty(std::string(name) + " path", static_cast<int>(to_printer.path()));
        }
    }
}

TEST(table_conversion, keeps_white_and_clips_what_lies_beyond) {
    const Profile printer = made_print_condition();
    const std::vector<float> colours{1, 1, 1, 1.3F, 1.2F, 1.1F, -0.2F, -0.1F, 0, 0, 0, 0};
    for (const char* name : {"sRGB", "ProPhotoRGB"}) {
        const std::vector<float> found = converted(conversion(colord(name), printer), colours);
        EXPECT_EQ(std::vector<float>(found.begin(), found.begin() + 6), std::vector<float>(6, 1.0F));
        for (std::size_t c = 0; c < 3; ++c) {
            EXPECT_EQ(found[6 + c], found[9 + c]);
            EXPECT_GE(found[9 + c], 0);
            // Black point compensation brings black to the printer's own, all of its ink but what the
            // interpolation in the profile's 33 nodes leaves out.
            EXPECT_LT(found[9 + c], 0.03);
        }
    }
}

TEST(table_conversion, from_a_table_profile_to_srgb_is_within_0_1_of_little_cms) {
    const Profile printer = made_print_condition();
    const WorkingForm form(printer, SourceModel::rgb, "dawn.tif");
    std::vector<std::uint16_t> samples;
    std::vector<float> colours;
    for (const float value : cube_of(11)) {
        samples.push_back(static_cast<std::uint16_t>(std::lround(65535 * value)));
        colours.push_back(static_cast<float>(samples.back()) / 65535);
    }
    OwnPlanes planes(samples.size() / 3);
    form.from_samples(std::span<const std::uint16_t>(samples), {planes.red, planes.green, planes.blue});
    const Conversion to_srgb(form, Profile::srgb(), {Intent::relative_colorimetric, false});
    EXPECT_EQ(to_srgb.path(), Path::matrix);
    to_srgb.apply({planes.red, planes.green, planes.blue});
    const Reference reference(printer, Profile::srgb(), INTENT_RELATIVE_COLORIMETRIC, 0);
    EXPECT_LT(differences(Profile::srgb(), planes.interleaved(), reference(colours)).largest, 0.1);
}

TEST(conversion, to_a_file_space_that_is_not_rgb_is_refused_in_a_sentence) {
    EXPECT_THAT(
        [] { conversion(Profile::srgb(), Profile::srgb_grey()); },
        ThrowsMessage<base::InvalidWish>(HasSubstr("Print files are RGB, but the file space \"Grey with the sRGB "
                                                   "curve\" is not an RGB profile")));
    EXPECT_THROW(flat_colour({1, 2, 3}, Profile::lab()), base::InvalidWish);
}

TEST(flat_colour, white_is_exactly_white_and_black_black) {
    for (const Profile& space : {Profile::srgb(), Profile::adobe_rgb(), made_print_condition()}) {
        EXPECT_EQ(flat_colour({255, 255, 255}, space), (std::array<float, 3>{1, 1, 1}));
        for (const float value : flat_colour({0, 0, 0}, space)) {
            EXPECT_LT(value, 0.03);  // As above.
        }
    }
    EXPECT_EQ(flat_colour({0, 0, 0}, Profile::srgb()), (std::array<float, 3>{0, 0, 0}));
}

TEST(flat_colour, is_the_same_colour_in_another_space) {
    const LabReader srgb(Profile::srgb());
    const LabReader adobe(Profile::adobe_rgb());
    const std::array<float, 3> found = flat_colour({200, 30, 60}, Profile::adobe_rgb());
    EXPECT_LT(delta_e_2000(adobe.lab(found), srgb.lab({200 / 255.0F, 30 / 255.0F, 60 / 255.0F})), 0.02);
    EXPECT_EQ(flat_colour({200, 30, 60}, Profile::srgb()),
              (std::array<float, 3>{200 / 255.0F, 30 / 255.0F, 60 / 255.0F}));
}

}  // namespace
}  // namespace hangtrue::colour
