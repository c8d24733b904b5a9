// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/part.h"

#include <gtest/gtest.h>

#include <cmath>

namespace hangtrue::trial {
namespace {

/// A picture of one grey, but for a square of many tones in the middle greys.
BlockColours with_a_telling_corner(int column, int row) {
    BlockColours blocks{40, 30, {}};
    for (int y = 0; y < blocks.rows; ++y) {
        for (int x = 0; x < blocks.columns; ++x) {
            const bool is_there = x >= column && x < column + 8 && y >= row && y < row + 8;
            const double tone = 20 + 8.5 * ((x + 3 * y) % 8);
            blocks.colours.push_back(is_there ? colour::Lab{tone, 2, 3} : colour::Lab{97, 0, 0});
        }
    }
    return blocks;
}

TEST(telling_part, is_where_the_tones_are) {
    for (const auto& [column, row] : {std::pair{2, 3}, std::pair{30, 20}, std::pair{15, 11}}) {
        const base::RealRect part = telling_part(with_a_telling_corner(column, row), 8.0 / 40, 8.0 / 30);
        EXPECT_NEAR(part.x * 40, column, 2);
        EXPECT_NEAR(part.y * 30, row, 2);
        EXPECT_DOUBLE_EQ(part.width, 0.2);
    }
}

TEST(telling_part, prefers_middle_greys_to_strong_colours_and_to_blown_out_ones) {
    BlockColours blocks{30, 10, {}};
    for (int y = 0; y < 10; ++y) {
        for (int x = 0; x < 30; ++x) {
            const double tone = 30 + 5.0 * (y % 8);
            blocks.colours.push_back(x < 10   ? colour::Lab{98, 0, 0}
                                     : x < 20 ? colour::Lab{tone, 70, 50}
                                              : colour::Lab{tone, 1, -1});
        }
    }
    EXPECT_GT(telling_part(blocks, 1.0 / 3, 1).x, 0.55);
}

TEST(telling_part, of_a_window_larger_than_the_picture_is_all_of_it) {
    const base::RealRect part = telling_part(with_a_telling_corner(0, 0), 1.5, 2);
    EXPECT_EQ(part, (base::RealRect{0, 0, 1, 1}));
}

TEST(colours_of_part, are_the_means_of_its_fields) {
    BlockColours blocks{12, 12, {}};
    for (int y = 0; y < 12; ++y) {
        for (int x = 0; x < 12; ++x) blocks.colours.push_back({static_cast<double>(x), static_cast<double>(y), 0});
    }
    const auto colours = colours_of_part(blocks, {0, 0, 1, 1});
    ASSERT_EQ(colours.size(), 36U);
    EXPECT_EQ(colours.front().lightness, 0.5);
    EXPECT_EQ(colours.back().a, 10.5);
    EXPECT_EQ(colours_of_part(blocks, {0.5, 0.5, 0.01, 0.01}).size(), 1U);
}

}  // namespace
}  // namespace hangtrue::trial
