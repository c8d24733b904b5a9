// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/screen_and_paper.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <random>
#include <vector>

#include "engine/base/error.h"
#include "tests/support/random.h"

namespace hangtrue::picture {
namespace {

using testing::HasSubstr;
using testing::ThrowsMessage;

double srgb(double linear) {
    const double held = std::clamp(linear, 0.0, 1.0);
    return 255 * (held <= 0.0031308 ? 12.92 * held : 1.055 * std::pow(held, 1 / 2.4) - 0.055);
}

using ToneCurve = std::function<double(double)>;

/// What cameras make of light, before the sRGB curve: as it is, with a shoulder and much contrast, flat.
const std::vector<ToneCurve>& tone_curves() {
    static const std::vector<ToneCurve> curves{
        [](double light) { return light; },
        [](double light) {
            const double power = std::pow(light, 1.5);
            return 1.2 * power / (power + 0.2);
        },
        [](double light) { return std::pow(light, 0.7); },
    };
    return curves;
}

/// A desk: a dark wall, a screen on the left and a sheet on the right of it, seen by a camera whose lens darkens the
/// corners.
struct Desk {
    double screen = 0.4;
    double paper = 0.4;
    double wall = 0.03;
    std::array<double, 3> paper_tint{1.05, 1, 0.85};  ///< A warm lamp.
    double fall_off = 0.2;                            ///< Of light, in the corners.
    double shade = 0;                                 ///< A shadow over half of the paper.
    ToneCurve curve = tone_curves().front();
    std::vector<std::uint8_t> rgb = {};

    static constexpr base::PixelSize size{480, 360};
    static constexpr base::PixelRect screen_at{40, 80, 190, 180};
    static constexpr base::PixelRect paper_at{260, 100, 150, 200};

    SmallPhotograph taken(std::uint64_t seed = 1) {
        std::mt19937_64 random(seed);
        std::normal_distribution noise(0.0, 1.5);
        rgb.clear();
        for (int y = 0; y < size.height; ++y) {
            for (int x = 0; x < size.width; ++x) {
                const auto in = [&](base::PixelRect r) {
                    return x >= r.x && x < r.right() && y >= r.y && y < r.bottom();
                };
                const double away = std::hypot(x - 240, y - 180) / 300;
                const double seen = 1 - fall_off * away * away;
                for (std::size_t channel = 0; channel < 3; ++channel) {
                    double light = wall * (1 + 0.5 * std::sin(0.4 * x) * std::sin(0.3 * y));
                    if (in(screen_at)) light = screen;
                    if (in(paper_at)) light = paper * paper_tint[channel] * (y < 200 ? 1 : 1 - shade);
                    rgb.push_back(
                        static_cast<std::uint8_t>(std::clamp(srgb(curve(light * seen)) + noise(random), 0.0, 255.0)));
                }
            }
        }
        return {size, rgb};
    }
};

ScreenAndPaper compared_in(const SmallPhotograph& photograph) {
    const TwoAreas areas = found_areas(photograph);
    return compared(areas.left, areas.right);
}

/// The luminance of the desk's paper, its tint included (sRGB's weights).
double paper_light(const Desk& desk) {
    return desk.paper * (0.2126 * desk.paper_tint[0] + 0.7152 * desk.paper_tint[1] + 0.0722 * desk.paper_tint[2]);
}

TEST(screen_and_paper, are_found_where_they_stand) {
    Desk desk;
    const TwoAreas areas = found_areas(desk.taken());
    const auto expect_at = [](base::PixelRect found, base::PixelRect stands) {
        // Blocks of 8 pixels that lie wholly inside.
        EXPECT_NEAR(found.x, stands.x, 16);
        EXPECT_NEAR(found.y, stands.y, 16);
        EXPECT_NEAR(found.right(), stands.right(), 16);
        EXPECT_NEAR(found.bottom(), stands.bottom(), 16);
    };
    expect_at(areas.left.rect, Desk::screen_at);
    expect_at(areas.right.rect, Desk::paper_at);
}

TEST(screen_and_paper, of_equal_light_are_equal_whatever_the_cameras_tone_curve) {
    const support::Seeded seeded;
    for (const ToneCurve& curve : tone_curves()) {
        for (const double exposure : {0.1, 0.2, 0.4}) {
            Desk desk;
            desk.curve = curve;
            desk.screen = exposure;
            desk.paper_tint = {1, 1, 1};
            desk.paper = exposure;
            const ScreenAndPaper result = compared_in(desk.taken(seeded.seed));
            EXPECT_TRUE(result.are_equal) << result.stops;
            EXPECT_LT(std::abs(result.stops), 0.1);
        }
    }
}

TEST(screen_and_paper, that_differ_are_told_apart_and_the_truth_lies_between_the_bounds) {
    const support::Seeded seeded;
    for (const ToneCurve& curve : tone_curves()) {
        for (const double stops : {-2.0, -1.0, -0.5, 0.5, 1.0, 2.0}) {
            Desk desk;
            desk.curve = curve;
            desk.screen = 0.25 * std::exp2(stops / 2);
            desk.paper = 0.25 * std::exp2(-stops / 2);
            const double truth = std::log2(desk.screen / paper_light(desk));
            const ScreenAndPaper result = compared_in(desk.taken(seeded.seed));
            EXPECT_FALSE(result.are_equal) << stops;
            EXPECT_GT(result.stops * stops, 0) << stops;
            EXPECT_LE(std::abs(result.least), std::abs(truth)) << stops;
            EXPECT_GE(std::abs(result.most), std::abs(truth)) << stops;
        }
    }
}

TEST(screen_and_paper, become_equal_when_the_advice_is_followed_whatever_the_curve) {
    for (const ToneCurve& curve : tone_curves()) {
        for (const double start : {0.02, 1.0}) {  // Of the paper's 0.15: three stops off, either way.
            Desk desk;
            desk.curve = curve;
            desk.paper = 0.15;
            desk.fall_off = 0;
            desk.wall = 0.002;
            double screen = start;
            int photographs = 0;
            bool content = false;
            while (!content && photographs < 8) {
                // The camera's exposure goes by the brighter one.
                const double exposure = 0.3 / std::max(screen, desk.paper);
                Desk exposed = desk;
                exposed.screen = screen * exposure;
                exposed.paper = desk.paper * exposure;
                const SmallPhotograph photograph = exposed.taken(static_cast<std::uint64_t>(photographs) + 1);
                const ScreenAndPaper result =
                    compared(flat_area(photograph, Desk::screen_at), flat_area(photograph, Desk::paper_at));
                content = result.are_equal;
                if (!content) screen *= std::exp2(-result.stops);
                ++photographs;
            }
            EXPECT_TRUE(content);
            EXPECT_LE(photographs, 5);
            // A sixth of a stop as measured, at the slope of the flattest of these curves.
            EXPECT_LT(std::abs(std::log2(screen / paper_light(desk))), 1.0 / 6 / 0.5 + 0.05);
        }
    }
}

TEST(screen_and_paper, clipped_or_dark_or_unevenly_lit_are_refused_with_what_to_do) {
    const auto refusal = [](Desk desk) {
        const SmallPhotograph photograph = desk.taken();
        try {
            compared(flat_area(photograph, Desk::screen_at), flat_area(photograph, Desk::paper_at));
        } catch (const base::InvalidWish& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    EXPECT_THAT(refusal({.screen = 1.4}), AllOf(HasSubstr("The screen"), HasSubstr("less exposure")));
    EXPECT_THAT(refusal({.paper = 1.2}), AllOf(HasSubstr("The paper"), HasSubstr("less exposure")));
    EXPECT_THAT(refusal({.paper = 0.01}), AllOf(HasSubstr("The paper"), HasSubstr("more exposure")));
    EXPECT_THAT(refusal({.shade = 0.7}), AllOf(HasSubstr("The paper"), HasSubstr("unevenly")));
    EXPECT_EQ(refusal({}), "");
}

TEST(screen_and_paper, that_cannot_be_told_from_other_things_are_to_be_given) {
    Desk one;
    one.paper = 0.005;
    EXPECT_THAT([&] { found_areas(one.taken()); }, ThrowsMessage<base::InvalidWish>(HasSubstr("--screen-at")));

    Desk white_wall;
    white_wall.taken();
    for (int y = 0; y < 70; ++y) {
        for (int x = 0; x < Desk::size.width; ++x) {
            std::fill_n(white_wall.rgb.begin() + 3 * (y * Desk::size.width + x), 3, std::uint8_t{150});
        }
    }
    const SmallPhotograph photograph{Desk::size, white_wall.rgb};
    EXPECT_THAT([&] { found_areas(photograph); }, ThrowsMessage<base::InvalidWish>(HasSubstr("more than two")));
    EXPECT_NO_THROW(compared(flat_area(photograph, Desk::screen_at), flat_area(photograph, Desk::paper_at)));
}

TEST(screen_and_paper, areas_beyond_the_photograph_or_tiny_are_refused) {
    Desk desk;
    const SmallPhotograph photograph = desk.taken();
    for (const base::PixelRect rect : {base::PixelRect{1000, 0, 100, 100}, {0, 0, 10, 10}, {-200, -200, 201, 201}}) {
        EXPECT_THROW(flat_area(photograph, rect), base::InvalidWish);
    }
    EXPECT_THROW(found_areas({{4, 4}, std::span(desk.rgb).first(48)}), base::InvalidWish);
}

}  // namespace
}  // namespace hangtrue::picture
