// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/bare_paper.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "tests/support/random.h"
#include "tests/trial/pictured_sheet.h"

namespace hangtrue::trial {
namespace {

// Every point of every spot, widened by a module, against every thing on the sheet.
TEST(bare_paper, spots_lie_on_paper_alone_a_module_away_from_print) {
    const Sheet sheet = made_sheet(1);
    const auto spots = paper_spots(sheet);
    EXPECT_GT(spots.size(), 300U);
    std::vector<base::PixelRect> printed;
    for (const auto& one : sheet.cells) printed.push_back(one.rect);
    for (const auto& one : sheet.patches) printed.push_back(one.rect);
    for (const auto& one : sheet.marks) printed.push_back(one.rect);
    for (const auto& one : sheet.edges) printed.push_back(one.rect);
    for (const auto& one : sheet.lines) printed.push_back(one.rect);
    for (const auto& one : sheet.captions) printed.push_back(one.rect);
    const double mm = 25.4 / 300;
    const double half = 0.4 + 6 * mm;  // A module is 6 px.
    for (const Point spot : spots) {
        EXPECT_GE(spot.x - half, -1e-9);
        EXPECT_LE(spot.y + half, 1200 * mm + 1e-9);
        for (const auto& rect : printed) {
            const bool is_apart = spot.x + half <= rect.x * mm + 1e-9 || spot.x - half >= rect.right() * mm - 1e-9 ||
                                  spot.y + half <= rect.y * mm + 1e-9 || spot.y - half >= rect.bottom() * mm - 1e-9;
            EXPECT_TRUE(is_apart) << spot.x << ", " << spot.y;
        }
    }
}

// Light of the inverse square and of the fourth power of the cosine, as a lamp and a lens have it, with specks in every
// tenth spot and noise of 0.5 %: known by the formula everywhere, also where cells leave no paper. 1 % of light is
// 0.4 L* at white.
TEST(bare_paper, tells_the_light_everywhere_on_the_sheet) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::normal_distribution<double> noise(0, 0.005);
    std::uniform_real_distribution<double> share(0, 1);
    const Sheet sheet = made_sheet(1);
    const auto spots = paper_spots(sheet);
    for (int round = 0; round < 10; ++round) {
        const Point lamp{150 * share(random), 100 * share(random)};
        const double height = 200 + 200 * share(random);
        const auto truth = [&](Point at) {
            const double across = std::hypot(at.x - lamp.x, at.y - lamp.y) / height;
            return 0.7 / std::pow(1 + across * across, 2);
        };
        std::vector<double> values;
        for (const Point spot : spots) {
            double value = truth(spot) * (1 + noise(random));
            if (share(random) < 0.1) value *= 0.3 + 0.5 * share(random);
            values.push_back(value);
        }
        const Light light(sheet, spots, values);
        EXPECT_NEAR(light.scatter(), 0.005, 0.002);
        for (double y = 2; y < 100; y += 4) {
            for (double x = 2; x < 150; x += 4) EXPECT_NEAR(light.at({x, y}) / truth({x, y}), 1, 0.01) << x << ' ' << y;
        }
    }
}

TEST(bare_paper, even_light_is_told_from_few_spots_too) {
    const Sheet sheet = made_sheet(1);
    const std::vector<Point> spots{{5, 5}, {100, 5}, {50, 80}};
    const std::vector<double> values{0.5, 0.5, 0.5};
    EXPECT_NEAR(Light(sheet, spots, values).at({140, 90}), 0.5, 1e-6);
}

TEST(bare_paper, places_are_named_as_the_sheet_reads) {
    const Sheet sheet = made_sheet(1);
    EXPECT_EQ(place_words(sheet, {1, 1}), "the upper left");
    EXPECT_EQ(place_words(sheet, {150, 50}), "the right");
    EXPECT_EQ(place_words(sheet, {75, 99}), "the bottom");
    EXPECT_EQ(place_words(sheet, {75, 50}), "the middle");
}

}  // namespace
}  // namespace hangtrue::trial
