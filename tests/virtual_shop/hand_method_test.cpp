// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/hand_method.h"

#include <gtest/gtest.h>

#include "tests/support/random.h"
#include "tests/virtual_shop/pictures.h"
#include "tests/virtual_shop/statistics.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;

std::vector<Lab> some_colours() {
    std::vector<Lab> out;
    for (int i = 0; i < 30; ++i) out.push_back({15 + 2.5 * i, 12 * std::sin(i), 15 * std::cos(1.7 * i)});
    return out;
}

TEST(BestChange, LeavesAnUnbiasedShopAlone) {
    const Shop shop;
    const Printer printer(shop, Printer::With::bias);
    const Change best = best_change(some_colours(), printer, printer);
    EXPECT_EQ(best.lightness, 0);
    EXPECT_EQ(best.tint_a, 0);
    EXPECT_EQ(best.contrast, 0);
}

TEST(BestChange, MendsMoreThanHalfOfAPlainBias) {
    const support::Seeded seeded;
    const auto colours = some_colours();
    for (std::uint64_t i = 0; i < 6; ++i) {
        Shop shop = shop_of_seed(seeded.seed + i);
        shop.bias.lightness = i % 2 == 0 ? -6 : 5;
        shop.bias.kink_height = shop.bias.crushed_below = 0;
        shop.bias.paper = {};
        const Printer biased(shop, Printer::With::bias), right(shop, Printer::With::no_bias);
        const double before = mean(errors(colours, {}, biased, right));
        const Change best = best_change(colours, biased, right);
        EXPECT_LT(mean(errors(colours, best, biased, right)), 0.5 * before) << shop_text(shop);
        EXPECT_GT(best.lightness * -shop.bias.lightness, 0) << shop_text(shop);
    }
}

TEST(ByHand, StopsAtOnceWhereNothingIsOffAndTheEyeIsSure) {
    Chance chance(1);
    const Printer printer(Shop{}, Printer::With::bias);
    const HandResult result = by_hand(some_colours(), printer, printer, 3, 0, 20, chance);
    EXPECT_EQ(result.sheets, 1);
    EXPECT_TRUE(result.has_ended);
}

TEST(ByHand, WalksToTheBiasAStepASheet) {
    Chance chance(1);
    Shop shop;
    shop.bias.lightness = -6;
    const Printer biased(shop, Printer::With::bias), right(shop, Printer::With::no_bias);
    const HandResult result = by_hand(some_colours(), biased, right, 3, 0, 20, chance);
    // Two steps of three up, and the sheet on which the middle wins.
    EXPECT_EQ(result.sheets, 3);
    EXPECT_DOUBLE_EQ(result.change.lightness, 6);
    EXPECT_LT(mean(errors(some_colours(), result.change, biased, right)),
              mean(errors(some_colours(), {}, biased, right)) / 3);
}

TEST(LeastErrors, WhatAnyFileLeavesIsNoMoreThanWhatTheBestChangeLeaves) {
    Shop shop;
    shop.bias = {6, -3, 2, 0.1};
    const Printer biased(shop, Printer::With::bias), right(shop, Printer::With::no_bias);
    const auto least = least_errors(some_colours(), biased, right);
    const auto changed = errors(some_colours(), best_change(some_colours(), biased, right), biased, right);
    ASSERT_EQ(least.size(), changed.size());
    for (std::size_t i = 0; i < least.size(); ++i) EXPECT_LE(least[i], changed[i] + 0.05) << i;
    // Greys and quiet colours lie well inside what a biased printer reaches.
    EXPECT_LT(mean(least), 0.3);
    EXPECT_DOUBLE_EQ(mean(least_errors(some_colours(), right, right)), 0);
}

TEST(Statistics, QuantilesAndIntervalsAreAsDefined) {
    EXPECT_DOUBLE_EQ(quantile({4, 1, 3, 2, 5}, 0.5), 3);
    EXPECT_DOUBLE_EQ(quantile({0, 10}, 0.9), 9);
    EXPECT_DOUBLE_EQ(mean({1, 2, 6}), 3);
    // The mean of n values with standard deviation s is normal with s / sqrt n: 95 % within 1.96 of those.
    const support::Seeded seeded;
    Chance chance(seeded.seed);
    std::vector<double> values(400);
    for (double& value : values) value = chance.normal(2);
    const Interval interval = with_interval(values, mean, 1);
    EXPECT_NEAR(interval.high - interval.low, 2 * 1.96 * 2 / 20, 0.06);
    EXPECT_LT(interval.low, interval.value);
    EXPECT_GT(interval.high, interval.value);
}

TEST(Chart, HoldsNeutralsAndColoursWithinItsPrint) {
    const auto patches = chart_patches();
    ASSERT_GT(patches.size(), neutral_patches + colour_patches + 100);
    for (std::size_t i = 0; i < patches.size(); ++i) {
        const auto& rgb = patches[i].rgb;
        EXPECT_EQ(rgb[0] == rgb[1] && rgb[1] == rgb[2], i < neutral_patches) << i;
        EXPECT_GT(patches[i].inner.x, 0);
        EXPECT_LT(patches[i].inner.x + patches[i].inner.width, 254);
        EXPECT_LT(patches[i].inner.y + patches[i].inner.height, 203.2);
    }
}

}  // namespace
}  // namespace hangtrue::virtual_shop
