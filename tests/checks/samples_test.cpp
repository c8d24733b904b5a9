// SPDX-License-Identifier: Apache-2.0
/// Checks that look at pixels: what they find lies where it is, and what only looks like it is left alone.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "engine/checks/checks.h"
#include "tests/checks/made_samples.h"
#include "tests/plan/example.h"

namespace hangtrue::checks {
namespace {

namespace example = plan::example;

/// A print of 36 x 24 in at 150 ppi of the whole of 6000 x 4000 px; the outermost 30 mm may be cut, 9.8 samples.
plan::Plan print() {
    plan::Plan plan = example::plan(example::wish(36, 24), example::metal());
    plan.geometry.safe_area = {30};
    return plan;
}

std::vector<Finding> found_in(const Samples& samples, const plan::Plan& plan = print()) {
    return findings_in(samples, {&plan, 1}, example::metal());
}

const Finding* named(const std::vector<Finding>& findings, const std::string& name) {
    const auto found = std::find_if(findings.begin(), findings.end(), [&](const auto& f) { return f.name == name; });
    return found == findings.end() ? nullptr : &*found;
}

/// Within `px` of `wanted` on every side: a sample is 20 px wide.
void expect_near(base::PixelRect found, base::PixelRect wanted, int px) {
    EXPECT_NEAR(found.x, wanted.x, px);
    EXPECT_NEAR(found.y, wanted.y, px);
    EXPECT_NEAR(found.right(), wanted.right(), px);
    EXPECT_NEAR(found.bottom(), wanted.bottom(), px);
}

TEST(checks_samples, white_areas_are_found_where_they_are) {
    // Two squares: 3000 to 4200 px by 400 to 1600, and 600 to 1200 by 2600 to 3200.
    const auto findings = found_in(made::samples([](double x, double y) -> made::Rgb {
        const bool is_large = x > 0.5 && x < 0.7 && y > 0.1 && y < 0.4;
        const bool is_small = x > 0.1 && x < 0.2 && y > 0.65 && y < 0.8;
        return is_large || is_small ? made::Rgb{1, 1, 1} : made::hills(x, y);
    }));
    const Finding* white = named(findings, "clipped-white");
    ASSERT_NE(white, nullptr);
    EXPECT_NEAR(white->figure, 100 * (0.2 * 0.3 + 0.1 * 0.15), 0.1);
    ASSERT_EQ(white->where.size(), 2U);
    expect_near(white->where[0], {3000, 400, 1200, 1200}, 20);
    expect_near(white->where[1], {600, 2600, 600, 600}, 20);
}

TEST(checks_samples, glints_are_no_white_area) {
    // 2 % of the samples, each by itself.
    const auto findings = found_in(made::samples([](double x, double y) -> made::Rgb {
        const int column = static_cast<int>(x * 300);
        const int row = static_cast<int>(y * 200);
        return column % 7 == 0 && row % 7 == 0 ? made::Rgb{1, 1, 1} : made::hills(x, y);
    }));
    EXPECT_EQ(named(findings, "clipped-white"), nullptr);
}

TEST(checks_samples, deep_shadows_with_drawing_are_no_black_hole) {
    // Codes 8 to 14 of 255: L* 2 to 4 (IEC 61966-2-1, CIE 15).
    const auto findings = found_in(made::samples([](double x, double y) -> made::Rgb {
        const double code = (11 + 3 * std::sin(40 * x + 30 * y)) / 255;
        return {code, code, code};
    }));
    EXPECT_EQ(named(findings, "clipped-black"), nullptr);
}

TEST(checks_samples, a_slope_of_single_codes_prints_without_bands_and_one_stretched_by_a_correction_does_not) {
    // Steps of one code of 8 bits about 128 are 0.39 L*, less than is just visible; three of them are not.
    Samples samples = made::samples(made::hills);
    samples.plateaus = made::plateaus({6000, 4000}, [](int x, int) { return 100 + x / 200; });
    EXPECT_EQ(named(found_in(samples), "banding"), nullptr);
    for (double& lightness : samples.tone) lightness = 50 + (lightness - 50) * 1.6;
    const auto findings = found_in(samples);
    const Finding* banding = named(findings, "banding");
    ASSERT_NE(banding, nullptr);
    EXPECT_NEAR(banding->figure, 1.6 * 0.4, 0.05);
}

TEST(checks_samples, bands_are_found_in_the_part_of_the_picture_that_has_them) {
    Samples samples = made::samples(made::hills);
    // At the upper right each fourth code alone, for 90 px; elsewhere a slope with noise.
    std::mt19937_64 random(20260314);
    std::normal_distribution<double> noise(0, 3);
    samples.plateaus = made::plateaus({6000, 4000}, [&](int x, int y) {
        if (x >= 3200 && y < 1600) return 100.0 + 4 * ((x - 3200) / 90 % 30);
        return std::round(120 + 0.01 * x + noise(random));
    });
    const auto findings = found_in(samples);
    const Finding* banding = named(findings, "banding");
    ASSERT_NE(banding, nullptr);
    ASSERT_FALSE(banding->where.empty());
    for (const base::PixelRect& place : banding->where) {
        EXPECT_GE(place.x, 3200);
        EXPECT_LE(place.bottom(), 1600);
    }
}

TEST(checks_samples, noise_of_half_a_code_hides_steps) {
    std::mt19937_64 random(7);
    std::normal_distribution<double> noise(0, 0.5);
    const auto code = [](int x) { return 100 + 0.05 * x; };
    const auto clean = made::plateaus({640, 640}, [&](int x, int) { return std::round(code(x)); });
    const auto noisy = made::plateaus({640, 640}, [&](int x, int) { return std::round(code(x) + noise(random)); });
    const auto stepped = [](const picture::Plateaus& plateaus) {
        return std::count_if(plateaus.tiles.begin(), plateaus.tiles.end(), [](const auto& t) { return t.step > 0; });
    };
    EXPECT_EQ(stepped(clean), static_cast<std::ptrdiff_t>(clean.tiles.size()));
    EXPECT_EQ(stepped(noisy), 0);
    // One step in 20 px: 31 pairs of a line of 32 hold 1.55.
    EXPECT_NEAR(clean.tiles.front().width_px, 20, 5);
    EXPECT_NEAR(clean.tiles.front().step, 1, 1e-6);
}

TEST(checks_samples, flat_colours_with_hard_edges_are_no_bands) {
    const auto plateaus = made::plateaus({640, 640}, [](int x, int) { return x / 40 % 2 == 0 ? 60 : 200; });
    for (const auto& tile : plateaus.tiles) EXPECT_EQ(tile.step, 0);
}

TEST(checks_samples, a_signature_in_the_corner_stands_at_the_edge) {
    // From 5640 to 5940 px and from 3792 to 3888, in strokes.
    const auto findings = found_in(made::samples([](double x, double y) -> made::Rgb {
        const bool is_stroke = x > 0.94 && x < 0.99 && y > 0.948 && y < 0.972 && static_cast<int>(x * 300) % 3 != 0;
        return is_stroke ? made::Rgb{0.95, 0.95, 0.9} : made::Rgb{0.3, 0.35, 0.3};
    }));
    const Finding* thing = named(findings, "stands-at-edge");
    ASSERT_NE(thing, nullptr);
    ASSERT_EQ(thing->where.size(), 1U);
    // The outline is a sample wide on either side, and three more join letters.
    expect_near(thing->where.front(), {5640, 3792, 300, 96}, 80);
    EXPECT_EQ(named(findings, "safe-area"), nullptr);
}

TEST(checks_samples, the_same_signature_further_in_does_not) {
    const auto findings = found_in(made::samples([](double x, double y) -> made::Rgb {
        const bool is_stroke = x > 0.84 && x < 0.89 && y > 0.848 && y < 0.872 && static_cast<int>(x * 300) % 3 != 0;
        return is_stroke ? made::Rgb{0.95, 0.95, 0.9} : made::Rgb{0.3, 0.35, 0.3};
    }));
    EXPECT_EQ(named(findings, "stands-at-edge"), nullptr);
    EXPECT_NE(named(findings, "safe-area"), nullptr);
}

TEST(checks_samples, what_every_frame_cuts_does_not_stand_at_the_edge) {
    // A horizon from side to side, a trunk from the foot to the middle.
    const auto horizon = found_in(made::samples([](double, double y) -> made::Rgb {
        return y > 0.55 ? made::Rgb{0.2, 0.2, 0.25} : made::Rgb{0.8, 0.8, 0.9};
    }));
    EXPECT_EQ(named(horizon, "stands-at-edge"), nullptr);
    const auto trunk = found_in(made::samples([](double x, double y) -> made::Rgb {
        return x > 0.3 && x < 0.33 && y > 0.5 ? made::Rgb{0.1, 0.1, 0.1} : made::Rgb{0.7, 0.7, 0.8};
    }));
    EXPECT_EQ(named(trunk, "stands-at-edge"), nullptr);
    // Leaves all over, and along the foot alone.
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> share(0.1, 0.9);
    const auto leaves = found_in(made::samples([&](double, double) -> made::Rgb {
        const double light = share(random);
        return {light / 2, light, light / 3};
    }));
    EXPECT_EQ(named(leaves, "stands-at-edge"), nullptr);
    const auto grass = found_in(made::samples([&](double, double y) -> made::Rgb {
        const double light = share(random);
        return y > 0.9 ? made::Rgb{light / 2, light, light / 3} : made::Rgb{0.6, 0.7, 0.9};
    }));
    EXPECT_EQ(named(grass, "stands-at-edge"), nullptr);
}

TEST(checks_samples, in_bleed_beyond_a_border_nothing_of_the_picture_is_cut) {
    plan::Plan bordered = print();
    // The picture ends 200 px inside the file on every side: the border stands where the shop may cut.
    bordered.geometry.image = {200, 200, 5000, 3200};
    const auto findings = found_in(made::samples([](double x, double y) -> made::Rgb {
                                       const bool is_stroke = x > 0.94 && x < 0.99 && y > 0.948 && y < 0.972 &&
                                                              static_cast<int>(x * 300) % 3 != 0;
                                       return is_stroke ? made::Rgb{0.95, 0.95, 0.9} : made::Rgb{0.3, 0.35, 0.3};
                                   }),
                                   bordered);
    EXPECT_EQ(named(findings, "stands-at-edge"), nullptr);
}

TEST(checks_samples, colours_outside_the_spectral_locus_say_that_the_profile_does_not_fit) {
    // The blue of ROMM (ISO 22028-2: x 0.0366, y 0.0001) lies outside the locus, those of sRGB inside.
    const auto share_of = [](const colour::Profile& profile, std::array<float, 3> rgb) {
        Samples samples = made::samples(made::hills);
        const colour::Lab lab = colour::LabReader(profile).lab(rgb);
        std::fill(samples.picture.begin(), samples.picture.end(), lab);
        const auto findings = found_in(samples);
        const Finding* odd = named(findings, "profile-does-not-fit");
        return odd == nullptr ? 0.0 : odd->figure;
    };
    // 0.8 of blue light alone would be black to the eye: some green keeps its luminance above a hundredth.
    EXPECT_NEAR(share_of(colour::Profile::romm_form(), {0.05F, 0.2F, 1.0F}), 100, 1e-6);
    for (const std::array<float, 3>& rgb :
         {std::array<float, 3>{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 1, 0}, {0, 1, 1}, {1, 0, 1}, {1, 1, 1}}) {
        EXPECT_EQ(share_of(colour::Profile::srgb(), rgb), 0);
        EXPECT_EQ(share_of(colour::Profile::adobe_rgb(), rgb), 0);
    }
}

TEST(checks_samples, what_a_file_space_does_not_hold_is_told_with_its_place) {
    // Left half: the green of Adobe RGB (1998), which sRGB does not hold.
    Samples samples = made::samples(made::hills);
    const colour::Lab green = colour::LabReader(colour::Profile::adobe_rgb()).lab({0, 1, 0});
    const colour::Lab held = colour::LabReader(colour::Profile::srgb()).lab({0, 1, 0});
    for (int y = 0; y < made::small.height; ++y) {
        for (int x = 0; x < made::small.width / 2; ++x) {
            const auto i = static_cast<std::size_t>(y * made::small.width + x);
            samples.picture[i] = green;
            samples.print[i] = held;
        }
    }
    const auto findings = found_in(samples);
    const Finding* beyond = named(findings, "beyond-file-space");
    ASSERT_NE(beyond, nullptr);
    EXPECT_NEAR(beyond->figure, 50, 1e-6);
    ASSERT_EQ(beyond->where.size(), 1U);
    expect_near(beyond->where.front(), {0, 0, 3000, 4000}, 20);
}

TEST(checks_samples, places_follow_the_crop) {
    // The same square, of a print that shows 1200 x 800 px from (3000, 2000) on.
    plan::Plan cropped = print();
    cropped.geometry.crop = {3000, 2000, 1200, 800};
    const auto findings =
        found_in(made::samples(
                     [](double x, double y) -> made::Rgb {
                         return x > 0.25 && x < 0.5 && y > 0.25 && y < 0.5 ? made::Rgb{1, 1, 1} : made::hills(x, y);
                     },
                     {3000, 2000, 1200, 800}),
                 cropped);
    const Finding* white = named(findings, "clipped-white");
    ASSERT_NE(white, nullptr);
    ASSERT_EQ(white->where.size(), 1U);
    expect_near(white->where.front(), {3300, 2200, 300, 200}, 4);
}

}  // namespace
}  // namespace hangtrue::checks
