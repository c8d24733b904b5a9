// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/printer.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "engine/base/error.h"
#include "tests/support/random.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;

// Against the paper, what a shop makes of a colour.
Lab relative_print(const Printer& printer, const Lab& wanted) {
    return paper_relative(printer.printed(wanted), printer.paper());
}

struct DensityShift {
    double density, neutral, cyan_76, cyan_00, magenta_76, magenta_00, yellow_76, yellow_00;
};

TEST(PrinterBias, DensityShiftsAreAsTabled) {
    // What a density shift of all channels, or of one, does to a grey of L* 50: computed apart from this code in double
    // precision from the definitions (IEC 61966-2-1's primaries at D50, CIE 15, ISO/CIE 11664-6), three and two digits.
    const DensityShift table[] = {{0.01, -0.505, 0.54, 0.76, 0.94, 1.19, 0.73, 0.74},
                                  {0.025, -1.254, 1.34, 1.85, 2.33, 2.85, 1.80, 1.80},
                                  {0.05, -2.485, 2.63, 3.49, 4.61, 5.36, 3.56, 3.42},
                                  {0.10, -4.876, 5.08, 6.31, 9.03, 9.58, 6.95, 6.21},
                                  {0.20, -9.392, 9.46, 10.52, 17.26, 15.78, 13.23, 10.47}};
    const Lab grey{50, 0, 0};
    const auto print = [&](const Bias& bias) {
        Shop shop;
        shop.ink_limit = 400;
        shop.bias = bias;
        return relative_print(Printer(shop, Printer::With::bias), grey);
    };
    for (const auto& row : table) {
        EXPECT_NEAR(print(bias_of_densities(row.density, row.density, row.density)).lightness - 50, row.neutral, 0.001);
        const Lab cyan = print(bias_of_densities(row.density, 0, 0));
        const Lab magenta = print(bias_of_densities(0, row.density, 0));
        const Lab yellow = print(bias_of_densities(0, 0, row.density));
        EXPECT_NEAR(colour::delta_e_76(grey, cyan), row.cyan_76, 0.01);
        EXPECT_NEAR(colour::delta_e_2000(grey, cyan), row.cyan_00, 0.01);
        EXPECT_NEAR(colour::delta_e_76(grey, magenta), row.magenta_76, 0.01);
        EXPECT_NEAR(colour::delta_e_2000(grey, magenta), row.magenta_00, 0.01);
        EXPECT_NEAR(colour::delta_e_76(grey, yellow), row.yellow_76, 0.01);
        EXPECT_NEAR(colour::delta_e_2000(grey, yellow), row.yellow_00, 0.01);
    }
}

TEST(PrinterBias, MidGreyMovesAsAskedAndTheEndsStay) {
    const support::Seeded seeded;
    for (std::uint64_t i = 0; i < 20; ++i) {
        Shop shop = shop_of_seed(seeded.seed + i);
        shop.intent = Intent::relative_colorimetric;
        shop.bias.kink_height = shop.bias.crushed_below = 0;  // These two may move the mid grey as well.
        shop.bias.paper = {};
        const Printer printer(shop, Printer::With::bias);
        const Lab grey = relative_print(printer, {50, 0, 0});
        EXPECT_NEAR(grey.lightness, 50 + shop.bias.lightness, 1e-6);
        EXPECT_NEAR(grey.a, shop.bias.tint_a, 1e-6);
        EXPECT_NEAR(grey.b, shop.bias.tint_b, 1e-6);
        const Lab white = relative_print(printer, {100, 0, 0});
        EXPECT_LT(colour::delta_e_76(white, {100, 0, 0}), 1e-6);
        const Lab black = printer.gamut().black();
        EXPECT_LT(colour::delta_e_76(printer.biased(black), black), 0.1);
    }
}

TEST(PrinterBias, ContrastIsTheSlopeAtTheMidGrey) {
    Shop shop;
    shop.bias.contrast = 0.15;
    const Printer printer(shop, Printer::With::bias);
    const double step = 0.5;
    const double slope =
        (printer.biased({50 + step, 0, 0}).lightness - printer.biased({50 - step, 0, 0}).lightness) / (2 * step);
    EXPECT_NEAR(slope, 1.15, 0.002);  // Over a step of one, a curve.
}

TEST(PrinterBias, NeverTurnsBack) {
    const support::Seeded seeded;
    for (std::uint64_t i = 0; i < 40; ++i) {
        const Printer printer(shop_of_seed(seeded.seed + i), Printer::With::bias);
        double before = -1;  // The gamut ends slantwise in a coloured black: half of L* may be lost on the way there.
        for (double lightness = 0; lightness <= 100; lightness += 1) {
            const double made = colour::lab_from_xyz(printer.printed({lightness, 0, 0})).lightness;
            EXPECT_GE(made, before - 0.5) << "seed " << seeded.seed + i << " at " << lightness;
            before = made;
        }
    }
}

TEST(PrinterBias, WithoutBiasPrintsWhatThePrintConditionCan) {
    Shop shop;
    shop.ink_limit = 400;
    shop.bias.lightness = -8;
    const Printer printer(shop, Printer::With::no_bias);
    const Lab wanted{60, 20, -15};
    EXPECT_LT(colour::delta_e_76(relative_print(printer, wanted), wanted), 1e-9);
    // FOGRA39L: the red solid is L*a*b* 47 68 48 and the paper 95 0 -2, as published; sRGB's red is more than that.
    const PrintCondition condition("FOGRA39L");
    const Lab solid = paper_relative(condition.printed({0, 100, 100, 0}), condition.paper());
    EXPECT_LT(colour::delta_e_76(relative_print(printer, solid), solid), 2);
    EXPECT_NEAR(colour::lab_from_xyz(printer.paper()).b, -2, 0.01);
}

TEST(ColourTableTest, IsAsGoodAsTheSlowWay) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::uniform_real_distribution<float> share(0, 1);
    const colour::Profile profile = colour::Profile::srgb();
    const colour::LabReader reader(profile);
    for (std::uint64_t i = 0; i < 3; ++i) {
        Shop shop = shop_of_seed(seeded.seed + i);
        const Printer printer(shop, Printer::With::bias);
        const ColourTable table(printer, profile);
        double sum = 0, sum_of_greys = 0, largest_grey = 0;
        constexpr int count = 2000;
        for (int n = 0; n < count; ++n) {
            const std::array<float, 3> rgb{share(random), share(random), share(random)};
            const Lab slow = colour::lab_from_xyz(printer.printed(reader.lab(rgb)));
            const Lab fast = colour::lab_from_xyz(table.printed({rgb[0], rgb[1], rgb[2]}));
            sum += colour::delta_e_2000(slow, fast);
            const float grey = share(random);
            const double off =
                colour::delta_e_2000(colour::lab_from_xyz(printer.printed(reader.lab({grey, grey, grey}))),
                                     colour::lab_from_xyz(table.printed({grey, grey, grey})));
            sum_of_greys += off;
            largest_grey = std::max(largest_grey, off);
        }
        // 41 nodes a side: far under the eye's own error. Where clipping sets in, in the darkest tones, the knee lies
        // between two nodes, as in any table of a real shop's.
        EXPECT_LT(sum / count, 0.1) << shop_text(shop);
        EXPECT_LT(sum_of_greys / count, 0.15) << shop_text(shop);
        EXPECT_LT(largest_grey, 2.5) << shop_text(shop);
    }
}

TEST(ShopText, ReadsBackAsItWas) {
    const support::Seeded seeded;
    for (std::uint64_t i = 0; i < 50; ++i) {
        const Shop shop = shop_of_seed(seeded.seed + i);
        EXPECT_EQ(shop_of_text(shop_text(shop), "shop.toml"), shop);
    }
    EXPECT_THROW(shop_of_text("format = 1\nlightnes = 3\n", "shop.toml"), base::UnreadableInput);
    EXPECT_THROW(shop_of_text("format = 1\nintent = \"absolute\"\n", "shop.toml"), base::UnreadableInput);
}

TEST(ShopOfSeed, IsAsOftenOffAsItShouldBe) {
    int without = 0, formed = 0, on_other_paper = 0;
    constexpr int count = 4000;
    for (int seed = 0; seed < count; ++seed) {
        const Bias bias = shop_of_seed(static_cast<std::uint64_t>(seed)).bias;
        if (bias == Bias{}) {
            ++without;
            continue;
        }
        formed += bias.kink_height != 0 || bias.crushed_below != 0;
        const double paper = std::hypot(bias.paper[0], bias.paper[1], bias.paper[2]);
        on_other_paper += paper > 0;
        EXPECT_TRUE(paper == 0 || std::abs(paper - 2) < 1e-9);
        EXPECT_LE(std::abs(bias.lightness), 8);
        EXPECT_LE(std::max(std::abs(bias.tint_a), std::abs(bias.tint_b)), 6);
        EXPECT_LE(std::abs(bias.contrast), 0.15);
    }
    // The binomial's standard deviation is at most 25 here; four of them.
    EXPECT_NEAR(without, count / 5, 100);
    EXPECT_NEAR(formed, count / 5, 100);
    EXPECT_NEAR(on_other_paper, count / 10, 80);
}

}  // namespace
}  // namespace hangtrue::virtual_shop
