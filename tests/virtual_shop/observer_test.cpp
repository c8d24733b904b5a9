// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/observer.h"

#include <gtest/gtest.h>

#include <map>

#include "tests/support/random.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;

std::vector<Lab> blocks(double lightness, double a = 0, double b = 0) {
    return {{lightness - 20, a, b}, {lightness, a, b}, {lightness + 20, a, b}};
}

TEST(Observer, WithoutErrorTakesTheNearestCell) {
    Chance chance(1);
    const Cell cells[] = {{"A", blocks(45)}, {"B", blocks(52)}, {"C", blocks(48)}};
    const Answer given = answered(cells, blocks(51.5), 0, chance);
    EXPECT_EQ(given.cell, "B");
    EXPECT_EQ(given.second, "C");
    EXPECT_FALSE(given.all);
}

TEST(Observer, SaysWhenAllAreOffToOneSide) {
    Chance chance(1);
    const Cell cells[] = {{"A", blocks(45)}, {"B", blocks(52)}, {"C", blocks(48)}};
    EXPECT_EQ(answered(cells, blocks(58), 0, chance).all, "too dark");
    EXPECT_EQ(answered(cells, blocks(40), 0, chance).all, "too light");
    EXPECT_EQ(answered(cells, blocks(50, 4), 0, chance).all, "green");
    EXPECT_EQ(answered(cells, blocks(50, -4), 0, chance).all, "magenta");
    EXPECT_EQ(answered(cells, blocks(50, 0, 4), 0, chance).all, "cool");
    EXPECT_EQ(answered(cells, blocks(50, 0, -4), 0, chance).all, "warm");
    EXPECT_EQ(answered(cells, blocks(50, 0, -1), 0, chance).all, std::nullopt);
}

TEST(Observer, ErrsAsOftenAsTheoryHasIt) {
    // Two cells whose differences are 0 and d: the better one is taken with probability Phi(d / (sqrt 2 s))
    // (Thurstone, case V). d = s: 0.76025.
    const support::Seeded seeded;
    Chance chance(seeded.seed);
    const Cell cells[] = {{"A", blocks(50)}, {"B", blocks(50, 0, 1)}};
    const double apart = mean_difference(cells[1].blocks, blocks(50));
    int right = 0;
    constexpr int count = 10000;
    for (int i = 0; i < count; ++i) right += answered(cells, blocks(50), apart, chance).cell == "A";
    EXPECT_NEAR(right / static_cast<double>(count), 0.76025, 0.017);  // Four standard deviations of the count.
}

TEST(Observer, FindsTheNeutralGrey) {
    Chance chance(3);
    const GreyPatch patches[] = {{"G1", {50, 3, 0}}, {"G2", {50, 0.2, -0.1}}, {"G3", {50, -2, 2}}};
    EXPECT_EQ(most_neutral(patches, 0, chance), "G2");
    std::map<std::string, int> votes;
    for (int i = 0; i < 1000; ++i) ++votes[most_neutral(patches, 1.5, chance)];
    EXPECT_GT(votes["G2"], 500);
    EXPECT_LT(votes["G2"], 950);
}

}  // namespace
}  // namespace hangtrue::virtual_shop
