// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/light.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <set>
#include <string>

#include "tests/support/random.h"

namespace hangtrue::optics {
namespace {

// Lambert's law: a matt white of reflectance 1 under pi lux has 1 cd/m2. The figures for R = 0.88 are that law's.
TEST(light, on_matt_paper_follows_lambert) {
    EXPECT_DOUBLE_EQ(paper_luminance(std::numbers::pi, 1), 1);
    EXPECT_NEAR(paper_luminance(200, 0.88), 56.02, 0.005);
    EXPECT_NEAR(paper_luminance(2000, 0.88), 560.2, 0.05);
    EXPECT_NEAR(lux_for(120, 0.88), 428.4, 0.05);
    EXPECT_NEAR(paper_luminance(lux_for(160, 0.9), 0.9), 160, 1e-9);
}

// Barten 2003 (SPIE 5294, 231-238), computed apart in double precision from the printed formula.
TEST(light, contrast_sensitivity_is_bartens) {
    EXPECT_NEAR(barten_sensitivity(0.5, 100), 226.876, 5e-4);
    EXPECT_NEAR(barten_sensitivity(1, 100, 60), 556.051, 5e-4);
    EXPECT_NEAR(barten_sensitivity(4, 0.1), 67.39, 5e-3);
    EXPECT_NEAR(barten_sensitivity(4, 10), 393.101, 5e-4);
    EXPECT_NEAR(barten_sensitivity(4, 100), 633.741, 5e-4);
    EXPECT_NEAR(barten_sensitivity(16, 50), 138.694, 5e-4);
    EXPECT_NEAR(barten_sensitivity(32, 10, 10), 8.672, 5e-4);
}

// The formula's field is X0^2 in square degrees: at 100 cd/m2 it peaks at 3.04 cycles a degree with 655.35 (computed
// apart), as Barten's own figures have it within a few per cent.
TEST(light, contrast_sensitivity_peaks_near_three_cycles_a_degree) {
    double best = 0;
    double at = 0;
    for (double u = 0.5; u < 10; u += 0.01) {
        if (const double s = barten_sensitivity(u, 100); s > best) {
            best = s;
            at = u;
        }
    }
    EXPECT_NEAR(at, 3.04, 0.01);
    EXPECT_NEAR(best, 655.35, 0.01);
}

/// The integral by the midpoint rule in even steps of luminance: slow, and as the formula stands.
double slow_visible_steps(const Seen& seen, double from, double to) {
    constexpr int parts = 200'000;
    const double first = seen.at(from);
    const double step = (seen.at(to) - first) / parts;
    double sum = 0;
    for (int i = 0; i < parts; ++i) {
        const double candelas = first + (i + 0.5) * step;
        sum += step / (2 / barten_sensitivity(4, candelas) * candelas);
    }
    return sum;
}

TEST(light, visible_steps_are_the_integral_of_the_threshold) {
    for (const Seen& seen : {Seen{0, 120}, Seen{0.3, 14}, Seen{1, 560}}) {
        for (const auto& [from, to] : {std::pair{0.005, 0.05}, {0.05, 0.18}, {0.18, 1.0}}) {
            const double slow = slow_visible_steps(seen, from, to);
            EXPECT_NEAR(visible_steps(seen, from, to), slow, 1e-4 * slow);
        }
    }
    // The sums of that integral for a screen of 120 cd/m2 and a print under 200 lux, computed apart.
    EXPECT_NEAR(visible_steps({0, 120}, 0.005, 0.05), 260.9, 0.05);
    EXPECT_NEAR(visible_steps({0, 120}, 0.18, 1), 491.1, 0.05);
    EXPECT_NEAR(visible_steps({0, 56.02}, 0.05, 0.18), 206.4, 0.05);
}

// The definition, computed apart.
TEST(light, that_strays_takes_density) {
    EXPECT_NEAR(effective_density(2.3, 0.005), 2.002, 5e-4);
    EXPECT_NEAR(effective_density(2.3, 0.02), 1.610, 5e-4);
    EXPECT_NEAR(effective_density(1.7, 0.01), 1.528, 5e-4);
    EXPECT_DOUBLE_EQ(effective_density(1.7, 0), 1.7);
    const Surface surface{.reflectance = 0.9, .density = 1.7, .stray = 0.01};
    const Seen seen = print_seen(300, surface);
    EXPECT_NEAR(std::log10(seen.white / seen.black), effective_density(1.7, 0.01), 1e-12);
}

TEST(light, of_dim_rooms_lets_the_darkest_codes_run_together_on_the_print) {
    const Surface matt{.reflectance = 0.9, .density = 1.6, .stray = 0.01};
    EXPECT_EQ(last_merged_code(print_seen(2000, matt), unchanged_tones()), -1);
    EXPECT_GE(last_merged_code(print_seen(50, matt), unchanged_tones()), 0);
    EXPECT_GT(last_merged_code(print_seen(5, matt), unchanged_tones()), 1);
    int before = 255;
    for (const double lux : {5, 10, 20, 40, 80, 160}) {
        const int last = last_merged_code(print_seen(lux, matt), unchanged_tones());
        EXPECT_LE(last, before);
        before = last;
    }
    // All up to the last merged code really lie within one step of black, the next does not.
    const Seen seen = print_seen(20, matt);
    const auto steps_after = [&](int code) {
        const auto linear = [](double v) { return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); };
        return visible_steps(seen, 0, linear((code + 1) / 255.0));
    };
    EXPECT_LT(steps_after(last_merged_code(seen, unchanged_tones())), 1);
    EXPECT_GE(steps_after(last_merged_code(seen, unchanged_tones()) + 1), 1);
}

Seen matched(double candelas, const Surface& surface) {
    return print_seen(lux_for(candelas, surface.reflectance), surface);
}

TEST(light, as_bright_as_the_screen_or_brighter_changes_nothing) {
    const Surface surface;
    for (const double lux : {lux_for(120, surface.reflectance), 500.0, 2000.0, 20000.0}) {
        EXPECT_EQ(tone_change(matched(120, surface), print_seen(lux, surface)), unchanged_tones()) << lux;
    }
}

TEST(light, change_of_tones_is_small_rises_lifts_and_keeps_both_ends_in_any_room) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto between = [&](double least, double most) { return std::uniform_real_distribution(least, most)(random); };
    for (int i = 0; i < 300; ++i) {
        const Surface surface{between(0.5, 0.95), between(1.2, 2.6), between(0, 0.03)};
        const double lux = std::exp(between(std::log(1), std::log(5000)));
        const ToneKnots knots = tone_change(matched(between(40, 400), surface), print_seen(lux, surface));
        EXPECT_EQ(knots.front(), 0);
        EXPECT_EQ(knots.back(), 100);
        for (std::size_t k = 1; k < knots.size(); ++k) {
            const double grey = 5.0 * static_cast<double>(k);
            EXPECT_GE(knots[k], grey);
            EXPECT_LE(knots[k], grey + most_moved + 1e-9);
            EXPECT_GT(knots[k] - knots[k - 1], 2.5) << lux;  // Half as fast as the tones at least.
        }
    }
}

TEST(light, change_of_tones_gives_every_tone_its_share_of_the_steps_again) {
    const Surface surface;
    const Seen bright = matched(120, surface);
    const Seen dim = print_seen(200, surface);
    const ToneKnots knots = tone_change(bright, dim);
    const auto share = [](const Seen& seen, double tone) {
        return visible_steps(seen, 0, tone) / visible_steps(seen, 0, 1);
    };
    for (const double tone : {0.02, 0.05, 0.18, 0.4, 0.7}) {
        // Linear between knots, the tones of a knot are met exactly, others within a thousandth.
        EXPECT_NEAR(share(dim, changed_tone(knots, tone)), share(bright, tone), 1e-3) << tone;
        EXPECT_LT(share(dim, tone), share(bright, tone) - 1e-3) << tone;  // What was to be mended.
    }
}

TEST(light, rooms_have_plain_names_one_source_each_and_what_standards_say) {
    std::set<std::string_view> ids;
    for (const Room& room : rooms()) {
        EXPECT_TRUE(ids.insert(room.id).second);
        EXPECT_FALSE(room.name.empty());
        EXPECT_FALSE(room.source.empty());
        EXPECT_EQ(find_room(room.id), &room);
    }
    EXPECT_EQ(find_room("booth")->lux, 2000);     // ISO 3664:2009, P1
    EXPECT_EQ(find_room("appraisal")->lux, 500);  // ISO 3664:2009, P2
    EXPECT_EQ(find_room("museum")->lux, 50);      // CIE 157:2004
    EXPECT_EQ(find_room("cellar"), nullptr);
}

}  // namespace
}  // namespace hangtrue::optics
