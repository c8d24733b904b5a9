// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/profile.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "engine/colour/conversion.h"
#include "engine/colour/difference.h"
#include "engine/colour/matrix_model.h"
#include "tests/colour/made_profiles.h"
#include "tests/support/random.h"

namespace hangtrue::colour {
namespace {

using testing::HasSubstr;
using testing::ThrowsMessage;

double largest_difference(const Profile& first, const Profile& second) {
    const LabReader first_reader(first);
    const LabReader second_reader(second);
    double largest = 0;
    const std::vector<float> colours = cube_of(18);
    for (std::size_t i = 0; i < colours.size(); i += 3) {
        const std::array rgb{colours[i], colours[i + 1], colours[i + 2]};
        largest = std::max(largest, delta_e_2000(first_reader.lab(rgb), second_reader.lab(rgb)));
    }
    return largest;
}

// 0.05 is a twentieth of what an eye sees: curves of 1024 entries and matrices rounded to 1/65536.
TEST(built_in_profile, srgb_is_the_srgb_of_colord_within_0_05) {
    EXPECT_LT(largest_difference(Profile::srgb(), colord("sRGB")), 0.05);
}

TEST(built_in_profile, srgb_is_the_version_2_srgb_of_icc_profiles_free_within_0_05) {
    EXPECT_LT(largest_difference(Profile::srgb(), icc_profiles_free("sRGB")), 0.05);
}

TEST(built_in_profile, adobe_rgb_is_that_of_colord_within_0_05) {
    EXPECT_LT(largest_difference(Profile::adobe_rgb(), colord("AdobeRGB1998")), 0.05);
}

// The files hold these bytes for ever: a change here changes every print file.
TEST(built_in_profile, bytes_never_change) {
    EXPECT_EQ(Profile::srgb().hash().hex(), "cc610088da33827f8b6232f014fe47e73ba6c9009e18ac1ef6075c946e853a3e");
    EXPECT_EQ(Profile::adobe_rgb().hash().hex(), "5e799544a60cbc5d6d03ab238735847c4d2bde265cfc6822b4e6963850c636f0");
    EXPECT_EQ(Profile::srgb_grey().hash().hex(), "00195f4653da7e2b54885dfc41a605ae936fc296c1bfedc6e34b9863d5ac62bc");
    EXPECT_EQ(Profile::romm_form().hash().hex(), "ee6a30ca7eed1d074410e626c154ecf6b6a111c828b0ff0386654b2ca1bf6633");
    EXPECT_EQ(Profile::lab().hash().hex(), "624b264465d8f4a68246b4eb910bc0fd75de589a9e9f6d996c270b64f97bfc02");
}

TEST(built_in_profile, says_what_it_is) {
    EXPECT_EQ(Profile::srgb().description(), "sRGB IEC61966-2.1");
    EXPECT_EQ(Profile::srgb().device_space(), DeviceSpace::rgb);
    EXPECT_TRUE(Profile::srgb().is_matrix_rgb());
    EXPECT_TRUE(Profile::adobe_rgb().is_matrix_rgb());
    EXPECT_TRUE(Profile::romm_form().is_matrix_rgb());
    EXPECT_EQ(Profile::srgb_grey().device_space(), DeviceSpace::grey);
    EXPECT_FALSE(Profile::srgb_grey().is_matrix_rgb());
    EXPECT_EQ(Profile::lab().device_space(), DeviceSpace::lab);
}

TEST(built_in_profile, white_of_all_matrices_is_the_pcs_white_to_the_last_bit) {
    for (const Profile& profile : {Profile::srgb(), Profile::adobe_rgb(), Profile::romm_form()}) {
        const Matrix3& m = profile.matrix_model()->to_xyz;
        EXPECT_EQ(m[0][0] + m[0][1] + m[0][2], d50.x);
        EXPECT_EQ(m[1][0] + m[1][1] + m[1][2], d50.y);
        EXPECT_EQ(m[2][0] + m[2][1] + m[2][2], d50.z);
    }
}

// ISO 22028-2: values from the tests of the colour-science library (rimm_romm_rgb.py) for the matrix.
TEST(built_in_profile, romm_form_has_the_primaries_of_iso_22028) {
    const Matrix3& m = Profile::romm_form().matrix_model()->to_xyz;
    const Matrix3 published{{{0.7977, 0.1352, 0.0313}, {0.2880, 0.7119, 0.0001}, {0, 0, 0.8249}}};
    for (std::size_t row = 0; row < 3; ++row) {
        for (std::size_t column = 0; column < 3; ++column) {
            EXPECT_NEAR(m[row][column], published[row][column], 5e-5);
        }
    }
}

TEST(profile, real_ones_are_read_as_what_they_are) {
    for (const char* name : {"sRGB", "AdobeRGB1998", "ProPhotoRGB", "ECI-RGBv2", "WideGamutRGB", "Rec709",
                             "SwappedRedAndGreen", "Bluish", "AppleRGB"}) {
        SCOPED_TRACE(name);
        const Profile profile = colord(name);
        EXPECT_TRUE(profile.is_matrix_rgb());
        EXPECT_EQ(profile.device_space(), DeviceSpace::rgb);
        EXPECT_FALSE(profile.description().empty());
    }
    EXPECT_TRUE(icc_profiles_free("sRGB").is_matrix_rgb());
    EXPECT_TRUE(icc_profiles_free("LStar-RGB").is_matrix_rgb());
    EXPECT_EQ(icc_profiles_free("Gray").device_space(), DeviceSpace::grey);
    EXPECT_EQ(icc_profiles_free("ITULab").device_space(), DeviceSpace::lab);
    EXPECT_FALSE(made_print_condition().is_matrix_rgb());
    EXPECT_EQ(made_print_condition().description(), "Made print condition");
}

// ProPhoto files commonly have a plain gamma of 1.8 where ISO 22028-2 has a straight part near black.
TEST(profile, a_curve_is_read_and_not_assumed) {
    const MatrixModel romm = *colord("ProPhotoRGB").matrix_model();
    EXPECT_NEAR(romm.curves[0].to_linear(0.01), std::pow(0.01, 1.8), 1e-8);
    const MatrixModel srgb = *colord("sRGB").matrix_model();
    EXPECT_NEAR(srgb.curves[1].to_linear(0.01), 0.01 / 12.92, 1e-6);
}

TEST(profile, cmyk_of_ghostscript_is_read_but_is_not_rgb) {
    const std::filesystem::path file = "/usr/share/color/icc/ghostscript/default_cmyk.icc";
    if (!std::filesystem::exists(file)) {
        GTEST_SKIP() << "the optional package libgs-common is not installed";
    }
    const Profile profile = Profile::from_bytes(bytes_of_file(file), file);
    EXPECT_EQ(profile.device_space(), DeviceSpace::cmyk);
    EXPECT_FALSE(profile.is_matrix_rgb());
}

TEST(profile, hash_and_bytes_are_those_given) {
    const std::vector<std::byte> bytes = bytes_of_file("/usr/share/color/icc/colord/sRGB.icc");
    const Profile profile = Profile::from_bytes(bytes, "a file");
    EXPECT_TRUE(std::equal(bytes.begin(), bytes.end(), profile.bytes().begin(), profile.bytes().end()));
    EXPECT_EQ(profile.hash(), base::sha256(bytes));
}

TEST(profile, of_a_wrong_class_is_refused_in_a_sentence) {
    const auto read = [](const char* file) { return [file] { Profile::from_bytes(bytes_of_file(file), "dawn.tif"); }; };
    EXPECT_THAT(read("/usr/share/color/icc/colord/Crayons.icc"),
                ThrowsMessage<base::UnreadableInput>(HasSubstr("The profile in dawn.tif is a list of named colours")));
    EXPECT_THAT(read("/usr/share/color/icc/CineLogCurve.icc"),
                ThrowsMessage<base::UnreadableInput>(HasSubstr("an abstract profile")));
    std::vector<std::byte> link = bytes_of_file("/usr/share/color/icc/colord/sRGB.icc");
    const char name[] = "link";
    std::transform(name, name + 4, link.begin() + 12, [](char c) { return static_cast<std::byte>(c); });
    EXPECT_THAT([&link] { Profile::from_bytes(link, "dawn.tif"); },
                ThrowsMessage<base::UnreadableInput>(HasSubstr("a device link")));
}

TEST(profile, of_no_bytes_or_of_text_is_refused_in_a_sentence) {
    EXPECT_THAT([] { Profile::from_bytes({}, "dawn.tif"); },
                ThrowsMessage<base::UnreadableInput>(HasSubstr("The profile in dawn.tif is damaged")));
    const std::vector<std::byte> text(5000, std::byte{'x'});
    EXPECT_THROW(Profile::from_bytes(text, "dawn.tif"), base::UnreadableInput);
}

// Whatever survives from_bytes must also carry a picture, or say in a sentence that it cannot.
void use_if_readable(const std::vector<std::byte>& bytes) {
    try {
        const Profile profile = Profile::from_bytes(bytes, "a damaged file");
        if (profile.device_space() != DeviceSpace::rgb) {
            return;
        }
        const WorkingForm form(profile, SourceModel::rgb, "a damaged file");
        const std::vector<std::uint8_t> samples{0, 0, 0, 255, 255, 255, 10, 200, 90, 255, 0, 0, 3, 2, 1};
        OwnPlanes planes(5);
        form.from_samples(samples, {planes.red, planes.green, planes.blue});
        form.to_linear({planes.red, planes.green, planes.blue});
        form.to_encoded({planes.red, planes.green, planes.blue});
        Conversion(form, Profile::srgb(), {}).apply({planes.red, planes.green, planes.blue});
        for (const float value : planes.interleaved()) {
            EXPECT_TRUE(value >= 0 && value <= 1) << value;
        }
    } catch (const base::Error& error) {
        EXPECT_GT(std::string(error.what()).size(), 40U);
    }
}

TEST(profile, flipped_bytes_never_crash) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const std::vector<std::byte> matrix = bytes_of_file("/usr/share/color/icc/colord/sRGB.icc");
    const std::vector<std::byte> table = bytes_of_file("/usr/share/color/icc/sRGB.icc");
    const std::span<const std::byte> lut_bytes = Profile::lab().bytes();
    const std::vector<std::byte> lut(lut_bytes.begin(), lut_bytes.end());
    for (const std::vector<std::byte>& whole : {matrix, table, lut}) {
        for (int round = 0; round < 400; ++round) {
            std::vector<std::byte> bytes = whole;
            const int flips = 1 + static_cast<int>(random() % 8);
            for (int flip = 0; flip < flips; ++flip) {
                // Mostly among header and tags, where the structure is.
                const std::size_t reach = random() % 4 != 0 ? std::min<std::size_t>(bytes.size(), 700) : bytes.size();
                bytes[random() % reach] = static_cast<std::byte>(random());
            }
            use_if_readable(bytes);
        }
    }
}

TEST(profile, cut_short_anywhere_is_refused) {
    for (const char* file : {"/usr/share/color/icc/colord/sRGB.icc", "/usr/share/color/icc/sRGB.icc"}) {
        const std::vector<std::byte> whole = bytes_of_file(file);
        for (std::size_t size = 0; size < whole.size(); size += 1 + whole.size() / 97) {
            const std::span<const std::byte> part(whole.data(), size);
            EXPECT_THROW(Profile::from_bytes(part, "dawn.tif"), base::UnreadableInput) << size;
        }
    }
}

}  // namespace
}  // namespace hangtrue::colour
