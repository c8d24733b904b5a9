// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/design.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>
#include <vector>

#include "engine/optics/mtf.h"
#include "engine/optics/vision.h"
#include "engine/sharpen/fit.h"

namespace hangtrue {
namespace {

struct Print {
    const char* medium;
    double f50;  // Cycles a mm: an engineering estimate for each blur class, no published source.
    double ppi;
    double width_in;
    double height_in;
};

// The media of the demo shops at the ends of their ppi (common practice: metal 150 to 200, canvas 80 to 100).
const std::vector<Print> prints{{"metal", 3.0, 150, 36, 24},  {"metal", 3.0, 200, 24, 16},
                                {"metal", 3.0, 200, 12, 8},   {"canvas", 2.0, 100, 24, 16},
                                {"canvas", 2.0, 80, 60, 40},  {"acrylic", 4.6, 200, 36, 24},
                                {"lustre", 5.0, 300, 18, 12}, {"cotton rag", 3.2, 300, 18, 12}};

sharpen::Situation situation(const Print& print, double enlarging, double blur_px, double noise = 0) {
    sharpen::Situation made;
    made.print_f50_cycles_per_mm = print.f50;
    made.ppi = {print.ppi};
    made.enlarging = enlarging;
    made.picture_blur = {blur_px};
    made.picture_noise = {noise};
    const base::SizeMm size{base::inches(print.width_in), base::inches(print.height_in)};
    made.design_distance = optics::wall_distance(size, std::nullopt, std::nullopt);
    made.closest_look = optics::closest_look(size, made.design_distance);
    made.surface = print.medium;
    return made;
}

std::vector<sharpen::Situation> situations() {
    std::vector<sharpen::Situation> all;
    for (const Print& print : prints) {
        for (const double enlarging : {0.5, 1.0, 1.6, 3.0}) {
            for (const double blur : {0.0, 0.4, 0.8}) all.push_back(situation(print, enlarging, blur));
        }
    }
    return all;
}

/// Designed once: most tests look at the same.
const std::vector<sharpen::Design>& designs() {
    static const auto all = [] {
        std::vector<sharpen::Design> made;
        for (const auto& s : situations()) made.push_back(sharpen::designed(s));
        return made;
    }();
    return all;
}

std::string named(const sharpen::Situation& s) {
    return s.surface + " at " + std::to_string(s.ppi.value) + " ppi, enlarging " + std::to_string(s.enlarging) +
           ", picture blur " + std::to_string(s.picture_blur.sigma_px);
}

// The acutance of a perfect filter whose gain ends at 3, by a plain sum: what the limit allows.
double best_acutance(const sharpen::Situation& s) {
    double shown = 0;
    double whole = 0;
    for (int i = 0; i < 2000; ++i) {
        const double f = sharpen::content_limit(s) * (i + 0.5) / 2000;
        const double weight = optics::contrast_sensitivity(
            optics::at_the_eye(f * s.ppi.value / base::millimetres_per_inch, s.closest_look));
        shown += weight * std::min(1.0, sharpen::gain_limit * sharpen::chain_mtf(s, f));
        whole += weight;
    }
    return shown / whole;
}

// 0.9: a sum of three Gaussians has no corner where the limit sets in.
TEST(sharpen_design, closes_60_percent_of_the_acutance_gap_of_each_medium_where_a_gain_of_3_allows) {
    for (std::size_t i = 0; i < designs().size(); ++i) {
        const auto s = situations()[i];
        const auto& design = designs()[i];
        const double gap = 1 - design.acutance_before;
        if (gap < 0.02) continue;  // Nothing to close: the print shows it all.
        const double possible = best_acutance(s) - design.acutance_before;
        EXPECT_GE(design.acutance_after - design.acutance_before, std::min(0.6 * gap, 0.9 * possible)) << named(s);
    }
}

void expect_within_limits(const sharpen::Situation& s, const sharpen::Design& design) {
    EXPECT_LE(design.acutance_after, 1.02 + 1e-9) << named(s);
    EXPECT_LE(sharpen::simulated_acutance(s, design.filter, s.design_distance), 1.02 + 1e-9) << named(s);
    EXPECT_LE(design.largest_gain, sharpen::gain_limit + 1e-9) << named(s);
    for (double f = 0; f < 0.7072; f += 0.01) {
        // Between the checked frequencies a smooth response rises by less than 0.01.
        EXPECT_LE(sharpen::response(design.filter, f), sharpen::gain_limit + 0.01) << named(s) << ' ' << f;
        EXPECT_GE(sharpen::response(design.filter, f), 0.85) << named(s) << ' ' << f;
    }
}

// The resampler takes the finest of what a picture's pixels hold; a network does not (docs/enlarging.md).
TEST(sharpen_design, gives_back_less_where_a_network_enlarged_and_closes_the_gap_all_the_same) {
    for (const Print& print : prints) {
        for (const double enlarging : {1.5, 2.0, 3.0}) {
            const auto filtered = situation(print, enlarging, 0.3);
            auto s = filtered;
            s.by_network = enlarging > 2 ? 4 : 2;
            EXPECT_EQ(sharpen::content_limit(s), sharpen::content_limit(filtered));
            for (int i = 1; i <= 20; ++i) {
                const double f = sharpen::content_limit(s) * i / 20;
                // Up to 0.375 cycles a pixel of the grid that is resampled last, Lanczos holds all within 3 %.
                EXPECT_GE(sharpen::chain_mtf(s, f), 0.97 * sharpen::chain_mtf(filtered, f)) << named(s) << ' ' << f;
            }
            const auto design = sharpen::designed(s);
            const auto by_filter = sharpen::designed(filtered);
            EXPECT_GE(design.acutance_before, by_filter.acutance_before) << named(s);
            EXPECT_LE(design.largest_gain, 1.02 * by_filter.largest_gain) << named(s);  // The fit's own error.
            expect_within_limits(s, design);
            const double gap = 1 - design.acutance_before;
            const double possible = best_acutance(s) - design.acutance_before;
            EXPECT_GE(design.acutance_after - design.acutance_before, std::min(0.6 * gap, 0.9 * possible)) << named(s);
        }
    }
}

TEST(sharpen_design, never_passes_an_acutance_of_1_02_nor_a_gain_of_3) {
    for (std::size_t i = 0; i < designs().size(); ++i) {
        auto s = situations()[i];
        expect_within_limits(s, designs()[i]);
        if (i % 5 != 0) continue;
        s.strength = 3;
        expect_within_limits(s, sharpen::designed(s));
    }
}

TEST(sharpen_design, a_crisp_picture_gets_back_what_was_lost_within_8_percent_and_no_more) {
    for (std::size_t index = 0; index < designs().size(); ++index) {
        const auto s = situations()[index];
        const auto& design = designs()[index];
        if (s.picture_blur.sigma_px > 0.4) continue;
        for (int i = 1; i <= 100; ++i) {
            const double f = sharpen::content_limit(s) * i / 100;
            EXPECT_LE(sharpen::chain_mtf(s, f) * sharpen::response(design.filter, f), 1.085) << named(s) << ' ' << f;
        }
    }
}

TEST(sharpen_design, at_most_three_terms_and_a_halo_of_17_px) {
    for (const auto& design : designs()) {
        EXPECT_LE(design.filter.terms.size(), 3u);
        EXPECT_LE(sharpen::halo_px(design.filter), 17);
    }
}

TEST(sharpen_design, halving_the_strength_halves_every_gain) {
    auto s = situation(prints[0], 1.6, 0.4, 1.5);
    const auto whole = sharpen::designed(s);
    s.strength = 0.5;
    const auto half = sharpen::designed(s);
    ASSERT_EQ(half.filter.terms.size(), whole.filter.terms.size());
    ASSERT_FALSE(whole.filter.is_off());
    for (std::size_t i = 0; i < whole.filter.terms.size(); ++i) {
        EXPECT_EQ(half.filter.terms[i].sigma_px, whole.filter.terms[i].sigma_px);
        EXPECT_NEAR(half.filter.terms[i].gain, whole.filter.terms[i].gain / 2, 1e-12);
    }
    EXPECT_NEAR(half.filter.threshold, whole.filter.threshold / 2, 1e-12);
    s.strength = 0;
    EXPECT_TRUE(sharpen::designed(s).filter.is_off());
    EXPECT_EQ(sharpen::designed(s).acutance_after, whole.acutance_before);
}

TEST(sharpen_design, what_the_eye_cannot_see_from_20_m_is_left_alone) {
    auto s = situation(prints[6], 1, 0.4);
    s.design_distance = {20000};
    s.closest_look = {20000};
    EXPECT_TRUE(sharpen::designed(s).filter.is_off());
}

TEST(sharpen_design, a_clean_picture_has_no_threshold_and_a_noisy_one_in_proportion) {
    const auto clean = sharpen::designed(situation(prints[0], 1.3, 0.4, 0));
    const auto noisy = sharpen::designed(situation(prints[0], 1.3, 0.4, 2));
    const auto noisier = sharpen::designed(situation(prints[0], 1.3, 0.4, 4));
    EXPECT_EQ(clean.filter.threshold, 0);
    EXPECT_EQ(clean.filter.terms, noisy.filter.terms);
    EXPECT_GT(noisy.filter.threshold, 2.0 / 255);
    EXPECT_NEAR(noisier.filter.threshold, 2 * noisy.filter.threshold, 1e-12);
}

// With overshoot held to o and fades wider than 1.69 o nothing can pass white or black (kernel.cpp).
TEST(sharpen_design, overshoot_is_limited_to_0_04_and_less_than_the_fades_can_hold) {
    const auto filter = sharpen::designed(situation(prints[0], 1, 0.4)).filter;
    EXPECT_EQ(filter.overshoot_limit, 0.04);
    EXPECT_GT(filter.highlight_fade, 1.6875 * filter.overshoot_limit);
    EXPECT_GT(filter.shadow_fade, 1.6875 * filter.overshoot_limit);
}

TEST(sharpen_design, the_sentence_says_for_what_and_how_much) {
    const auto design = sharpen::designed(situation(prints[3], 1.6, 0.4));
    EXPECT_TRUE(design.reason.starts_with(
        "Sharpened for canvas and a closest look from 0.37 m (1.2 ft): print and enlarging leave "))
        << design.reason;
    const auto off = sharpen::designed([] {
        auto s = situation(prints[3], 1.6, 0.4);
        s.strength = 0;
        return s;
    }());
    EXPECT_TRUE(off.reason.starts_with("Not sharpened, as asked")) << off.reason;
}

// Odd input must give a filter that can be used, not a crash: the caller may hold a shop's odd number.
TEST(sharpen_design, extreme_situations_stay_finite) {
    for (const double f50 : {0.05, 3.0, 500.0}) {
        for (const double ppi : {10.0, 2400.0}) {
            for (const double enlarging : {0.02, 1.0, 40.0}) {
                auto s = situation(prints[0], enlarging, 3);
                s.print_f50_cycles_per_mm = f50;
                s.ppi = {ppi};
                const auto design = sharpen::designed(s);
                EXPECT_TRUE(std::isfinite(design.acutance_before) && std::isfinite(design.acutance_after)) << named(s);
                EXPECT_TRUE(std::isfinite(design.filter.threshold));
                for (const auto& term : design.filter.terms) EXPECT_TRUE(std::isfinite(term.gain));
                EXPECT_LE(design.largest_gain, sharpen::gain_limit + 1e-9);
            }
        }
    }
}

TEST(sharpen_fit, a_response_made_of_two_terms_is_found_again) {
    const sharpen::Filter made{.terms = {{0.35, 0.5}, {0.35 * std::pow(1.25, 5), 0.9}}};
    std::vector<sharpen::Wanted> wanted;
    for (int i = 1; i <= 90; ++i) {
        const double f = 0.5 * i / 90;
        wanted.push_back({f, sharpen::response(made, f), 3, 1});
    }
    const sharpen::Filter found{.terms = sharpen::fitted_terms(wanted, 3)};
    // The price of taps may exchange a term for a neighbouring one.
    for (const auto& each : wanted) EXPECT_NEAR(sharpen::response(found, each.cycles_per_px), each.gain, 0.01);
}

}  // namespace
}  // namespace hangtrue
