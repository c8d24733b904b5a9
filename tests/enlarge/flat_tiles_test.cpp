// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/flat_tiles.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "tests/support/random.h"

namespace hangtrue::enlarge {
namespace {

constexpr int look = 2;
constexpr base::PixelSize tiles{9, 7};
constexpr int width = tile_px * (tiles.width + 2 * look);
constexpr int height = tile_px * (tiles.height + 2 * look);
constexpr int samples = width * height;

FlatTiles flat_of(const std::vector<int>& codes, int white) {
    std::vector<float> planes;
    for (const int code : codes) planes.push_back(static_cast<float>(code) / static_cast<float>(white));
    return {{{planes.data(), planes.data() + samples, planes.data() + 2 * samples}, width}, tiles, look, 3};
}

/// Slow and plain: whether each tile in sight holds samples of each channel within `most` codes.
bool is_flat(const std::vector<int>& codes, int most, int row, int column) {
    for (int channel = 0; channel < 3; ++channel) {
        for (int y = row; y <= row + 2 * look; ++y) {
            for (int x = column; x <= column + 2 * look; ++x) {
                std::vector<int> tile;
                for (int i = 0; i < tile_px * tile_px; ++i) {
                    const int at = (tile_px * y + i / tile_px) * width + tile_px * x + i % tile_px;
                    tile.push_back(codes[static_cast<std::size_t>(channel * samples + at)]);
                }
                const auto [least, largest] = std::ranges::minmax(tile);
                if (largest - least > most) return false;
            }
        }
    }
    return true;
}

TEST(enlarge_flat_tiles, are_those_that_see_no_tile_of_more_than_three_codes) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    int flat_ones = 0;
    for (const int white : {255, 65535}) {
        const int code = white / 255;
        for (int round = 0; round < 30; ++round) {
            // A slope, and a few samples beside it by three codes, or just more.
            std::vector<int> codes;
            for (int i = 0; i < 3 * samples; ++i) codes.push_back(code * (40 + i % width / 8));
            for (int i = 0; i < 4; ++i) {
                codes[random() % codes.size()] += (white == 255 ? 4 : 3 * code + 129) * (random() % 2 == 0 ? 1 : -1);
                codes[random() % codes.size()] += 2 * code;
            }
            const int most = white == 255 ? 3 : 899;  // Of 65535: the last before three and a half of 255.
            const FlatTiles flat = flat_of(codes, white);
            for (int row = 0; row < tiles.height; ++row) {
                for (int column = 0; column < tiles.width; ++column) {
                    const bool expected = is_flat(codes, most, row, column);
                    ASSERT_EQ(flat.is_flat(row, column), expected) << row << ' ' << column;
                    flat_ones += expected ? 1 : 0;
                }
            }
        }
    }
    EXPECT_GT(flat_ones, 500);
    EXPECT_LT(flat_ones, 60 * tiles.width * tiles.height - 500);
}

TEST(enlarge_flat_tiles, leave_the_columns_between_the_first_and_the_last_that_are_not_flat) {
    std::vector<int> codes(3 * samples, 100);
    // Seen by the tiles up to two away: rows 1 to 5, columns 3 to 7.
    codes[static_cast<std::size_t>(tile_px * (3 + look) * width + tile_px * (5 + look))] = 120;
    const FlatTiles flat = flat_of(codes, 255);
    EXPECT_EQ(flat.not_flat(0, 1).end, 0);
    EXPECT_EQ(flat.not_flat(-5, 2).first, 3);
    EXPECT_EQ(flat.not_flat(-5, 2).end, 8);
    EXPECT_EQ(flat.not_flat(6, 100).end, 0);
}

TEST(enlarge_flat_tiles, of_a_picture_with_noise_are_held_to_less) {
    EXPECT_EQ(most_codes_of_flat({.noise_sd = 0.2 / 255}), 3);
    EXPECT_EQ(most_codes_of_flat({.noise_sd = 1.0 / 255}), 2);
}

}  // namespace
}  // namespace hangtrue::enlarge
