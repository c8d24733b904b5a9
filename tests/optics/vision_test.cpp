// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/vision.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "engine/optics/mtf.h"

namespace hangtrue {
namespace {

using base::CyclesPerDegree;
using base::Millimetres;
using base::PixelsPerInch;

// All values: computed in double precision from 25.4 / (2 d tan(1/120 degree)); common acuity convention
// (20/20 = a stroke of one arc minute). Printed to two decimals, hence 0.005.
TEST(optics_vision, acuity_at_300_mm_is_291_06_ppi_and_the_rest_of_the_table) {
    const struct {
        double mm, ppi;
    } table[] = {{250, 349.28}, {254, 343.77}, {300, 291.06}, {305, 286.29}, {400, 218.30}, {500, 174.64},
                 {600, 145.53}, {1000, 87.32}, {1500, 58.21}, {2000, 43.66}, {3000, 29.11}};
    for (const auto& [mm, ppi] : table) {
        EXPECT_NEAR(optics::resolved_ppi(Millimetres{mm}).value, ppi, 0.005) << mm << " mm";
    }
}

TEST(optics_vision, px_of_300_ppi_are_seen_up_to_291_06_mm) {
    EXPECT_NEAR(optics::sharp_from(PixelsPerInch{300}).value, 291.06, 0.005);
    EXPECT_NEAR(optics::sharp_from(optics::resolved_ppi(Millimetres{777})).value, 777, 1e-9);
}

// Diagonals of ISO 216 sheets (A4 297 x 210 mm …) seen from their diagonal; computed, to one decimal.
TEST(optics_vision, a4_seen_from_its_diagonal_needs_240_1_ppi) {
    const struct {
        double width, height, ppi;
    } table[] = {{297, 210, 240.1}, {420, 297, 169.7}, {594, 420, 120.0},
                 {841, 594, 84.8},  {900, 600, 80.7},  {1500, 1000, 48.4}};
    for (const auto& [width, height, ppi] : table) {
        const auto distance = optics::wall_distance({{width}, {height}}, std::nullopt, std::nullopt);
        EXPECT_NEAR(optics::resolved_ppi(distance).value, ppi, 0.06) << width;
    }
}

TEST(optics_vision, a_cycle_a_mm_is_17_4533_cycles_a_degree_from_a_metre) {
    EXPECT_NEAR(optics::at_the_eye(1, {250}).value, 4.3633, 5e-5);
    EXPECT_NEAR(optics::at_the_eye(1, {300}).value, 5.236, 5e-4);
    EXPECT_NEAR(optics::at_the_eye(1, {500}).value, 8.7266, 5e-5);
    EXPECT_NEAR(optics::at_the_eye(1, {1000}).value, 17.4533, 5e-5);
    EXPECT_NEAR(optics::on_the_print(optics::at_the_eye(2.5, {640}), {640}), 2.5, 1e-12);
}

// 75 f^0.8 exp(-0.2 f): Movshon & Kiorpes 1988, constants as in P. Burns' csf1 (Baxter 2012); values computed.
TEST(optics_vision, contrast_sensitivity_peaks_at_4_cycles_a_degree_with_102_158) {
    const struct {
        double cpd, sensitivity;
    } table[] = {{0.5, 38.977}, {1, 61.405}, {2, 87.532}, {4, 102.158}, {8, 79.921}, {16, 28.094}, {32, 1.994}};
    for (const auto& [cpd, sensitivity] : table) {
        EXPECT_NEAR(optics::contrast_sensitivity(CyclesPerDegree{cpd}), sensitivity, 6e-4) << cpd;
    }
    EXPECT_EQ(optics::contrast_sensitivity(CyclesPerDegree{0}), 0);
    EXPECT_NEAR(optics::contrast_sensitivity(CyclesPerDegree{35.91}), 1, 1e-3);
}

// Gaussian blur in arc minutes -> acutance, integrals to infinity (computed). Ours end at 60 cycles a degree,
// beyond which lies 5e-5 of the whole: hence 2e-4 with the table's rounding.
TEST(optics_vision, gaussian_blur_of_one_arc_minute_has_acutance_0_6550) {
    const struct {
        double sigma, acutance;
    } table[] = {{0.25, 0.9599}, {0.5, 0.8655}, {0.75, 0.7568}, {1, 0.6550}, {1.5, 0.4927}, {2, 0.3795}, {3, 0.2431}};
    for (const auto& [sigma, acutance] : table) {
        const double degrees = sigma / 60;
        const auto mtf = [&](CyclesPerDegree f) { return optics::gaussian_mtf(degrees, f.value); };
        EXPECT_NEAR(optics::acutance(mtf), acutance, 2e-4) << sigma;
    }
}

TEST(optics_vision, a_pixel_of_one_arc_minute_has_acutance_0_9458) {
    const struct {
        double width, acutance;
    } table[] = {{0.5, 0.9858}, {1, 0.9458}, {2, 0.8183}, {3, 0.6847}, {4, 0.5755}};
    for (const auto& [width, acutance] : table) {
        const auto mtf = [&](CyclesPerDegree f) { return optics::box_mtf(width / 60, f.value); };
        EXPECT_NEAR(optics::acutance(mtf), acutance, 2e-4) << width;
    }
    EXPECT_DOUBLE_EQ(optics::acutance([](CyclesPerDegree) { return 1.0; }), 1);
}

// A step in the integrand costs Simpson's rule a part of one interval: 2e-3.
TEST(optics_vision, half_the_pixels_of_the_acuity_rule_still_give_0_84) {
    const struct {
        double cut, acutance;
    } table[] = {{5, 0.3236}, {10, 0.6527}, {15, 0.8387}, {20, 0.9289}, {30, 0.9874}};
    for (const auto& [cut, acutance] : table) {
        const auto mtf = [&](CyclesPerDegree f) { return f.value <= cut ? 1.0 : 0.0; };
        EXPECT_NEAR(optics::acutance(mtf), acutance, 2e-3) << cut;
    }
}

// Common practice: the diagonal; at a market stall people come as near as half of it, but not nearer than 0.3 m.
TEST(optics_vision, a_print_of_36x24_in_is_made_for_1099_mm_and_looked_at_from_550_mm) {
    const base::SizeMm print{base::inches(36), base::inches(24)};
    const auto distance = optics::wall_distance(print, std::nullopt, std::nullopt);
    EXPECT_NEAR(distance.value, 1098.97, 0.01);
    EXPECT_NEAR(optics::closest_look(print, distance).value, 549.48, 0.01);
    EXPECT_EQ(optics::closest_look({{200}, {150}}, {250}).value, 250);
    EXPECT_EQ(optics::closest_look({{400}, {300}}, {500}).value, 300);
    EXPECT_EQ(optics::closest_look(print, {450}).value, 450);
}

TEST(optics_vision, the_wall_distance_is_as_wished_else_the_diagonal_else_what_the_room_leaves) {
    const base::SizeMm print{{900}, {1200}};
    const Millimetres wished{2500};
    const Millimetres hallway{1200};
    EXPECT_DOUBLE_EQ(optics::wall_distance(print, std::nullopt, std::nullopt).value, 1500);
    EXPECT_DOUBLE_EQ(optics::wall_distance(print, std::nullopt, hallway).value, 1200);
    EXPECT_DOUBLE_EQ(optics::wall_distance(print, std::nullopt, Millimetres{4000}).value, 1500);
    EXPECT_DOUBLE_EQ(optics::wall_distance(print, wished, hallway).value, 2500);
}

}  // namespace
}  // namespace hangtrue
