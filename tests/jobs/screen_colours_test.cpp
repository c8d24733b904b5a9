// SPDX-License-Identifier: Apache-2.0
// Pixels on the screen, held against Little CMS as it would convert them itself.

#include "engine/jobs/screen_colours.h"

#include <gmock/gmock.h>
#include <lcms2.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <random>

#include "engine/base/error.h"
#include "engine/colour/profile.h"

namespace hangtrue::jobs_test {
namespace {

std::vector<std::byte> file_bytes(const std::string& name) {
    std::ifstream stream(name, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    const auto bytes = std::as_bytes(std::span(text));
    return {bytes.begin(), bytes.end()};
}

/// By Little CMS in floating point, which it computes without tables of its own.
std::vector<std::uint8_t> by_little_cms(const std::vector<std::byte>& from, const std::vector<std::byte>& to,
                                        const std::vector<std::uint8_t>& samples) {
    cmsHPROFILE in = from.empty() ? cmsCreate_sRGBProfile()
                                  : cmsOpenProfileFromMem(from.data(), static_cast<cmsUInt32Number>(from.size()));
    cmsHPROFILE out = cmsOpenProfileFromMem(to.data(), static_cast<cmsUInt32Number>(to.size()));
    cmsHTRANSFORM transform = cmsCreateTransform(in, TYPE_RGB_FLT, out, TYPE_RGB_FLT, INTENT_RELATIVE_COLORIMETRIC,
                                                 cmsFLAGS_NOOPTIMIZE | cmsFLAGS_BLACKPOINTCOMPENSATION);
    std::vector<float> floats(samples.begin(), samples.end());
    for (float& value : floats) value /= 255;
    cmsDoTransform(transform, floats.data(), floats.data(), static_cast<cmsUInt32Number>(samples.size() / 3));
    std::vector<std::uint8_t> result;
    for (const float value : floats) {
        result.push_back(static_cast<std::uint8_t>(std::lround(255 * std::clamp(value, 0.0f, 1.0f))));
    }
    cmsDeleteTransform(transform);
    cmsCloseProfile(in);
    cmsCloseProfile(out);
    return result;
}

std::vector<std::uint8_t> random_samples(std::size_t pixels) {
    std::mt19937 random(11);
    std::vector<std::uint8_t> samples(3 * pixels);
    for (auto& sample : samples) sample = static_cast<std::uint8_t>(random());
    return samples;
}

TEST(screen_colours, srgb_pixels_on_a_wide_screen_are_what_little_cms_makes_of_them) {
    // colord-data: a screen whose red and green are swapped shows at once whether its profile is applied.
    for (const char* name :
         {"/usr/share/color/icc/colord/AdobeRGB1998.icc", "/usr/share/color/icc/colord/SwappedRedAndGreen.icc",
          "/usr/share/color/icc/colord/WideGamutRGB.icc"}) {
        const std::vector<std::byte> screen = file_bytes(name);
        if (screen.empty()) GTEST_SKIP() << name << " is not installed (colord-data)";
        const jobs::ScreenColours colours({}, screen);
        EXPECT_FALSE(colours.is_same());
        const std::vector<std::uint8_t> samples = random_samples(70000);  // More than are converted at once.
        const auto shown = colours.shown(std::as_bytes(std::span(samples)), 8);
        const auto expected = by_little_cms({}, screen, samples);
        ASSERT_EQ(shown.size(), expected.size());
        int largest = 0;
        for (std::size_t i = 0; i < shown.size(); ++i) {
            largest = std::max(largest, std::abs(int{shown[i]} - int{expected[i]}));
        }
        // One code: a value that lies half-way between two.
        EXPECT_LE(largest, 1) << name;
    }
}

TEST(screen_colours, sixteen_bits_and_eight_of_the_same_colour_look_the_same) {
    const std::vector<std::byte> screen = file_bytes("/usr/share/color/icc/colord/AdobeRGB1998.icc");
    if (screen.empty()) GTEST_SKIP() << "colord-data is not installed";
    for (const auto& profile : {std::vector<std::byte>{}, screen}) {
        const jobs::ScreenColours colours({}, profile);
        const std::vector<std::uint8_t> samples = random_samples(1000);
        std::vector<std::uint16_t> wide;
        for (const std::uint8_t sample : samples) wide.push_back(static_cast<std::uint16_t>(sample * 257));
        EXPECT_EQ(colours.shown(std::as_bytes(std::span(samples)), 8),
                  colours.shown(std::as_bytes(std::span(wide)), 16));
    }
}

TEST(screen_colours, without_a_screens_profile_srgb_stays_as_it_is) {
    const jobs::ScreenColours colours({}, {});
    EXPECT_TRUE(colours.is_same());
    const std::vector<std::uint8_t> samples = random_samples(100);
    EXPECT_EQ(colours.shown(std::as_bytes(std::span(samples)), 8), samples);
}

TEST(screen_colours, what_is_no_profile_of_a_screen_is_refused) {
    const std::string text = "no profile";
    EXPECT_THROW(jobs::ScreenColours({}, std::as_bytes(std::span(text))), base::UnreadableInput);
    EXPECT_THROW(jobs::screen_profile_name(std::as_bytes(std::span(text))), base::UnreadableInput);
    EXPECT_THROW(jobs::screen_profile_name(colour::Profile::lab().bytes()), base::UnreadableInput);
    EXPECT_FALSE(jobs::screen_profile_name(colour::Profile::srgb().bytes()).empty());
}

}  // namespace
}  // namespace hangtrue::jobs_test
