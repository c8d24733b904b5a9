// SPDX-License-Identifier: Apache-2.0
#include "engine/render/pieces.h"

#include <gtest/gtest.h>

#include "tests/support/made_weights.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::render {
namespace {

enlarge::Weights weights_of(const support::MadeWeights& made) {
    const support::TemporaryFolder folder;
    made.write(folder.path() / "made.weights");
    return enlarge::Weights::from_file(folder.path() / "made.weights");
}

/// The shape of the larger network that is shipped.
const enlarge::Network& large_network() {
    static const enlarge::Network network(weights_of(support::made_weights(64, 10, 1)));
    return network;
}

TEST(render_pieces, cover_the_area_and_no_more) {
    for (const base::PixelRect area : {base::PixelRect{0, 0, 1, 1}, {8, 4, 700, 20}, {0, 0, 5472, 3648}}) {
        for (const int threads : {1, 2, 7, 64}) {
            const PieceGrid grid = piece_plan(large_network(), {area}, threads, 480'000'000).levels[0].grid;
            long pixels = 0;
            for (int row = 0; row <= grid.row_of(area.bottom() - 1); ++row) {
                for (int column = 0; column <= grid.column_of(area.right() - 1); ++column) {
                    pixels += grid.rect(row, column).width * static_cast<long>(grid.rect(row, column).height);
                    EXPECT_FALSE(grid.rect(row, column).empty());
                    EXPECT_EQ(grid.rect(row, column).x % enlarge::Network::place_px, 0);
                    EXPECT_EQ(grid.rect(row, column).y % enlarge::Network::place_px, 0);
                }
            }
            EXPECT_EQ(pixels, area.width * static_cast<long>(area.height)) << threads;
        }
    }
}

TEST(render_pieces, of_a_window_give_each_thread_its_share) {
    for (const int threads : {2, 4, 8}) {
        const PiecePlan plan = piece_plan(large_network(), {{0, 0, 420, 420}}, threads, 480'000'000);
        const PieceGrid& grid = plan.levels[0].grid;
        const int pieces = (grid.row_of(419) + 1) * (grid.column_of(419) + 1);
        EXPECT_EQ(pieces % threads, 0) << threads;
    }
}

TEST(render_pieces, of_any_picture_keep_memory_within_its_bound) {
    constexpr std::size_t bound = 480'000'000;
    for (const int threads : {1, 2, 8, 16, 64}) {
        for (const base::PixelSize picture : {base::PixelSize{5472, 3648}, {9504, 6336}, {30000, 20000}}) {
            for (const std::size_t doublings : {1u, 2u}) {
                std::vector<base::PixelRect> areas;
                for (std::size_t i = 0; i < doublings; ++i) {
                    areas.push_back({0, 0, picture.width << i, picture.height << i});
                }
                const PiecePlan plan = piece_plan(large_network(), areas, threads, bound);
                std::size_t bytes = 0;
                for (const PiecePlan::Level& level : plan.levels) bytes += level.most_bytes;
                bytes += static_cast<std::size_t>(plan.threads) *
                         large_network().scratch_bytes(plan.levels.back().grid.piece.width);
                EXPECT_LE(bytes, bound) << threads << " threads, " << picture.width << " wide";
                EXPECT_GE(plan.threads, std::min(threads, 8));
            }
        }
    }
}

}  // namespace
}  // namespace hangtrue::render
