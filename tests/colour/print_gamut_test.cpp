// SPDX-License-Identifier: Apache-2.0
/// What a print holds, against what is known of spaces by their definitions.

#include "engine/colour/print_gamut.h"

#include <gtest/gtest.h>

#include <array>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "engine/base/error.h"

namespace hangtrue::colour {
namespace {

constexpr ConversionSettings relative{Intent::relative_colorimetric, true};

Lab held(const Profile& print, Lab colour) {
    Lab out;
    PrintGamut(print, relative).held({&colour, 1}, {&out, 1});
    return out;
}

TEST(colour_print_gamut, what_a_matrix_space_holds_comes_back_as_it_was) {
    const LabReader srgb(Profile::srgb());
    for (const std::array<float, 3>& rgb : {std::array<float, 3>{0, 0, 0},
                                            {1, 1, 1},
                                            {0.5F, 0.5F, 0.5F},
                                            {1, 0, 0},
                                            {0.2F, 0.9F, 0.3F},
                                            {0.1F, 0.05F, 0.4F}}) {
        const Lab colour = srgb.lab(rgb);
        // sRGB lies within Adobe RGB (1998) but for its rounding: Little CMS reads both profiles' 16-bit matrices.
        EXPECT_LT(delta_e_2000(colour, held(Profile::srgb(), colour)), 0.1);
        EXPECT_LT(delta_e_2000(colour, held(Profile::adobe_rgb(), colour)), 0.3);
    }
}

TEST(colour_print_gamut, the_green_of_adobe_rgb_comes_back_from_srgb_as_its_own_green) {
    // Clipped to sRGB, the most saturated green of Adobe RGB (1998) has no red and no blue light left: (0, 1, 0).
    const Lab green = LabReader(Profile::adobe_rgb()).lab({0, 1, 0});
    const Lab back = held(Profile::srgb(), green);
    EXPECT_LT(delta_e_2000(back, LabReader(Profile::srgb()).lab({0, 1, 0})), 1.0);
    EXPECT_GT(delta_e_2000(green, back), 3);
}

TEST(colour_print_gamut, four_inks_hold_greys_and_black_but_not_the_blue_of_a_screen) {
    const std::string file = "/usr/share/color/icc/ghostscript/default_cmyk.icc";
    std::ifstream stream(file, std::ios::binary);
    if (!stream) GTEST_SKIP() << file << " is not installed";
    const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
    const Profile inks = Profile::from_bytes(std::as_bytes(std::span(bytes)), file);
    ASSERT_EQ(inks.device_space(), DeviceSpace::cmyk);
    // Greys to the coarseness of its tables.
    for (const double lightness : {0.0, 20.0, 50.0, 80.0, 95.0}) {
        const Lab grey{lightness, 0, 0};
        EXPECT_LT(delta_e_2000(grey, held(inks, grey)), 2.5) << lightness;
    }
    const Lab blue = LabReader(Profile::srgb()).lab({0, 0, 1});
    EXPECT_GT(delta_e_2000(blue, held(inks, blue)), 5);
}

TEST(colour_print_gamut, a_profile_that_leads_nowhere_back_is_refused) {
    // A scanner's profile may know only the way to Lab; here: one that is cut to its header.
    const Profile lab = Profile::lab();
    EXPECT_NO_THROW(PrintGamut(lab, relative));
    std::vector<std::byte> bytes(Profile::srgb().bytes().begin(), Profile::srgb().bytes().end());
    bytes.resize(128);
    EXPECT_THROW(PrintGamut(Profile::from_bytes(bytes, "cut"), relative), base::UnreadableInput);
}

}  // namespace
}  // namespace hangtrue::colour
