// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/print_condition.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "engine/base/error.h"
#include "engine/colour/cgats.h"
#include "tests/support/random.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;

struct Published {
    Cmyk inks;
    Lab lab;
};

void expect_published(const PrintCondition& condition, std::span<const Published> values) {
    for (const auto& [inks, lab] : values) {
        const Lab made = colour::lab_from_xyz(condition.printed(inks));
        EXPECT_LT(colour::delta_e_76(made, lab), 0.05) << inks.c << ' ' << inks.m << ' ' << inks.y << ' ' << inks.k
                                                       << ": " << made.lightness << ' ' << made.a << ' ' << made.b;
    }
}

TEST(PrintCondition, Fogra39IsAsPublished) {
    // Characterisation data FOGRA39L (ISO 12647-2:2004/Amd 1, coated): paper, solids, overprints, greys. Two decimals
    // are printed, so half a hundredth in each number is open.
    const Published values[] = {
        {{0, 0, 0, 0}, {95, 0, -2}},
        {{100, 0, 0, 0}, {55, -37, -50}},
        {{0, 100, 0, 0}, {48, 74, -3}},
        {{0, 0, 100, 0}, {89, -5, 93}},
        {{0, 0, 0, 100}, {16, 0, 0}},
        {{0, 100, 100, 0}, {47, 68, 48}},
        {{100, 0, 100, 0}, {50, -65, 27}},
        {{100, 100, 0, 0}, {24, 22, -46}},
        {{100, 100, 100, 0}, {23, 0, 0}},
        {{100, 100, 100, 100}, {8.71, -0.07, 2.06}},
        {{40, 40, 40, 0}, {61.53, 5.42, 3.75}},
        {{70, 70, 70, 0}, {38.53, 6.58, 3.87}},
    };
    expect_published(PrintCondition("FOGRA39L"), values);
}

TEST(PrintCondition, Fogra39BlackTintsAreAsPublished) {
    // The same source; 50 % lies between the steps that are interpolated, so it may be half a unit off.
    const PrintCondition condition("FOGRA39L");
    const std::pair<double, double> tints[] = {{20, 82.79}, {40, 69.28}, {60, 54.14}, {80, 36.62}, {50, 61.82}};
    for (const auto& [k, lightness] : tints) {
        EXPECT_NEAR(colour::lab_from_xyz(condition.printed({0, 0, 0, k})).lightness, lightness, k == 50 ? 0.5 : 0.02);
    }
}

TEST(PrintCondition, Fogra29IsAsPublished) {
    // Characterisation data FOGRA29L (ISO 12647-2:2004, uncoated white).
    const Published values[] = {{{0, 0, 0, 0}, {95.71, 0.61, -2.32}},    {{100, 0, 0, 0}, {59.04, -26.66, -42.80}},
                                {{0, 100, 0, 0}, {55.04, 59.46, -4.00}}, {{0, 0, 100, 0}, {88.85, -1.65, 79.16}},
                                {{0, 0, 0, 100}, {31.88, 2.05, 2.08}},   {{100, 100, 100, 0}, {35.04, -3.16, -0.48}}};
    expect_published(PrintCondition("FOGRA29L"), values);
}

TEST(PrintCondition, FitsThePatchesBetweenItsSteps) {
    // All published patches, those between the interpolated steps too. A mean of 1 would be a just visible difference;
    // 0.3 over what lies between the steps was found to hold with room to spare.
    for (const char* name : {"FOGRA39L", "FOGRA29L", "TR006"}) {
        const PrintCondition condition(name);
        const auto table = colour::read_cgats(std::string("/usr/share/color/icc/") + name + ".ti3");
        const auto labs = table.lab_values();
        const auto c = table.numbers("CMYK_C"), m = table.numbers("CMYK_M"), y = table.numbers("CMYK_Y"),
                   k = table.numbers("CMYK_K");
        double sum = 0, largest = 0;
        int between = 0;
        for (std::size_t i = 0; i < labs.size(); ++i) {
            const double off =
                colour::delta_e_2000(labs[i], colour::lab_from_xyz(condition.printed({c[i], m[i], y[i], k[i]})));
            largest = std::max(largest, off);
            if (off > 0.02) {
                sum += off;
                ++between;
            }
        }
        EXPECT_GT(between, 100) << name;
        EXPECT_LT(sum / between, 0.3) << name;
        EXPECT_LT(largest, 1.0) << name;
    }
}

TEST(PrintCondition, RefusesADataSetThatIsNotThere) { EXPECT_THROW(PrintCondition("FOGRA0L"), base::UnreadableInput); }

class GamutTest : public testing::Test {
  protected:
    PrintCondition m_condition{"FOGRA39L"};
    Gamut m_gamut{m_condition, 400};
};

TEST_F(GamutTest, HoldsThePublishedSolids) {
    // A solid is a corner of the gamut: it is held, and with 5 % more chroma it is not. The boundary is tabled by half
    // a unit of lightness and by degrees of hue, which cuts a corner by less than 2.
    for (const Cmyk& inks : {Cmyk{100, 0, 0, 0}, Cmyk{0, 100, 0, 0}, Cmyk{0, 0, 100, 0}, Cmyk{0, 100, 100, 0},
                             Cmyk{100, 0, 100, 0}, Cmyk{100, 100, 0, 0}}) {
        const Lab solid = paper_relative(m_condition.printed(inks), m_condition.paper());
        EXPECT_LT(colour::delta_e_76(m_gamut.nearest(solid), solid), 2) << inks.c << ' ' << inks.m << ' ' << inks.y;
        EXPECT_FALSE(m_gamut.holds({solid.lightness, solid.a * 1.05, solid.b * 1.05}));
    }
}

TEST_F(GamutTest, HoldsEveryMixtureOfInks) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::uniform_real_distribution<double> ink(0, 100);
    for (int i = 0; i < 3000; ++i) {
        const Lab mixed = paper_relative(
            m_condition.printed({ink(random), ink(random), ink(random), i % 2 ? 0 : ink(random)}), m_condition.paper());
        EXPECT_LT(colour::delta_e_76(m_gamut.nearest(mixed), mixed), 1.5);  // As above: what tabling cuts.
    }
}

TEST_F(GamutTest, KeepsPaperAndBlack) {
    EXPECT_TRUE(m_gamut.holds({100, 0, 0}));
    EXPECT_TRUE(m_gamut.holds(m_gamut.black()));
    EXPECT_LT(m_gamut.black().lightness, 10);  // Four solids: L* 8.71 against the perfect diffuser.
    const Lab darkest = m_gamut.nearest({0, 0, 0});
    // The darkest print is a little coloured; the nearest of a neutral's own hue lies a little above it.
    EXPECT_NEAR(darkest.lightness, m_gamut.black().lightness, 1);
}

TEST_F(GamutTest, LessInkLeavesALighterBlack) {
    const Gamut thrifty(m_condition, 240);
    EXPECT_GT(thrifty.black().lightness, m_gamut.black().lightness + 1);
    const Cmyk allowed = limited({100, 100, 100, 40}, 240);
    EXPECT_DOUBLE_EQ(allowed.c + allowed.m + allowed.y + allowed.k, 240);
}

TEST_F(GamutTest, WhatCannotBePrintedKeepsItsHue) {
    const Lab wanted{60, -80, 60}, made = m_gamut.nearest(wanted);
    EXPECT_TRUE(m_gamut.holds(made));
    EXPECT_NEAR(std::atan2(made.b, made.a), std::atan2(wanted.b, wanted.a), 0.03);
    // And nothing printable of that hue is nearer, as a plain search finds.
    double best = 1000;
    for (double lightness = 10; lightness <= 100; lightness += 0.25) {
        for (double share = 0; share <= 1; share += 0.01) {
            const Lab tried{lightness, wanted.a * share, wanted.b * share};
            if (m_gamut.holds(tried)) best = std::min(best, colour::delta_e_76(tried, wanted));
        }
    }
    EXPECT_LT(colour::delta_e_76(made, wanted), best + 1);  // The search counts hue from the neutral axis.
}

TEST_F(GamutTest, CompressionIsSmoothAndStaysInside) {
    double before = -1;
    for (double lightness = 0; lightness <= 100; lightness += 0.5) {
        const Lab grey = m_gamut.compressed({lightness, 0, 0});
        EXPECT_GT(grey.lightness, before);
        before = grey.lightness;
    }
    double chroma = -1;
    for (double wanted = 0; wanted < 120; wanted += 1) {
        const Lab made = m_gamut.compressed({55, wanted * 0.8, wanted * 0.6});
        EXPECT_TRUE(m_gamut.holds(made));
        EXPECT_GE(std::hypot(made.a, made.b), chroma);
        chroma = std::hypot(made.a, made.b);
    }
}

}  // namespace
}  // namespace hangtrue::virtual_shop
