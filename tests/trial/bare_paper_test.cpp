// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/bare_paper.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <random>
#include <span>

#include "engine/trial/layout.h"
#include "tests/support/random.h"
#include "tests/trial/pictured_sheet.h"

namespace hangtrue::trial {
namespace {

void expect_bare(const Sheet& sheet, std::span<const Point> spots) {
    std::vector<base::PixelRect> printed;
    for (const auto& one : sheet.cells) printed.push_back(one.rect);
    for (const auto& one : sheet.patches) printed.push_back(one.rect);
    for (const auto& one : sheet.marks) printed.push_back(one.rect);
    for (const auto& one : sheet.edges) printed.push_back(one.rect);
    for (const auto& one : sheet.lines) printed.push_back(one.rect);
    for (const auto& one : sheet.captions) printed.push_back(one.rect);
    const double mm = 25.4 / sheet.ppi.value;
    const double half = paper_spot_mm / 2;
    const double room = half + paper_margin_modules * sheet.marks[0].rect.width / 10 * mm;
    for (const Point spot : spots) {
        EXPECT_GE(spot.x - half, sheet.marks[0].rect.x * mm - 1e-9);
        EXPECT_GE(spot.y - half, sheet.marks[0].rect.y * mm - 1e-9);
        EXPECT_LE(spot.x + half, sheet.marks[2].rect.right() * mm + 1e-9);
        EXPECT_LE(spot.y + half, sheet.marks[2].rect.bottom() * mm + 1e-9);
        for (const auto& rect : printed) {
            const bool is_apart = spot.x + room <= rect.x * mm + 1e-9 || spot.x - room >= rect.right() * mm - 1e-9 ||
                                  spot.y + room <= rect.y * mm + 1e-9 || spot.y - room >= rect.bottom() * mm - 1e-9;
            EXPECT_TRUE(is_apart) << spot.x << ", " << spot.y;
        }
    }
}

TEST(bare_paper, spots_lie_on_paper_alone_within_the_marks) {
    const Sheet sheet = made_sheet(1);
    const auto spots = paper_spots(sheet);
    EXPECT_GT(spots.size(), 300U);
    expect_bare(sheet, spots);
}

// Full sheets leave little paper. A light of the third order needs spots in each ninth of the sheet.
TEST(bare_paper, of_laid_out_sheets_is_found_everywhere) {
    const auto lab_of = [](std::array<float, 3> rgb) { return colour::Lab{100.0 * static_cast<double>(rgb[0]), 0, 0}; };
    const auto rgb_of = [](colour::Lab lab) {
        const auto value = static_cast<float>(lab.lightness / 100);
        return std::optional(std::array<float, 3>{value, value, value});
    };
    for (const base::PixelSize file : {base::PixelSize{2400, 3000}, {1500, 2100}, {2400, 3600}, {1800, 2400}}) {
        const Ground ground{file, {36, 36, file.width - 72, file.height - 72}, {300}, 4, {5}};
        auto sheet = laid_out(ground, 255, lab_of, rgb_of);
        ASSERT_TRUE(sheet);
        const auto spots = paper_spots(*sheet);
        expect_bare(*sheet, spots);
        std::map<std::string, int> places;
        for (const Point spot : spots) ++places[place_words(*sheet, spot)];
        EXPECT_EQ(places.size(), 9U) << file.width << " x " << file.height;
        for (const auto& [words, count] : places) EXPECT_GE(count, 10) << words << ' ' << file.width;
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
