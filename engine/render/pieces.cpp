// SPDX-License-Identifier: Apache-2.0
#include "engine/render/pieces.h"

#include <algorithm>

namespace hangtrue::render {
namespace {

/// From the best down. Wider pieces gain nothing any more: their rows leave the processor's own cache.
constexpr int widths[] = {512, 384, 256, 192, 128, 96, 64, 32};
/// Height costs no scratch, but what is kept; and a print's first rows wait for the first pieces.
constexpr int heights[] = {768, 704, 640, 576, 512, 448, 384, 320, 256, 192, 160, 128, 96, 64, 32};
/// For rows_filled_at_once: a block of the print is up to 512 pixels wide, up to twice that where an enlarging is taken
/// back in part, and what filters and consistency reach beyond (up to 80 pixels on each side, where grain is kept and a
/// strong blur is undone); with what it is made consistent with.
constexpr std::size_t bytes_to_fill = std::size_t{1200} * (rows_filled_at_once + 160) * 3 * sizeof(float) * 3 / 2;

int surroundings(const enlarge::Network& network) { return network.halo().before_px + network.halo().after_px; }

std::size_t thread_bytes(const enlarge::Network& network, int width, std::size_t doublings) {
    const auto source_width = static_cast<std::size_t>(width + surroundings(network));
    const auto source_height = static_cast<std::size_t>(heights[0] + surroundings(network));
    const std::size_t source = source_width * source_height * 3 * sizeof(float);
    // The second doubling's piece is given what the first made, consistent with the picture half as large.
    return network.scratch_bytes(width) + bytes_to_fill + (doublings > 1 ? source * 5 / 2 : source);
}

std::size_t piece_bytes(base::PixelSize piece) {
    return static_cast<std::size_t>(piece.count()) * result_bytes_a_pixel;
}

int parts_of(int length, int most) { return (length + most - 1) / most; }

/// Rounded up, so that pieces begin where the network's parts may.
int at_places(int length) {
    constexpr int place = enlarge::Network::place_px;
    return parts_of(length, place) * place;
}

/// Of the ways to cut `area` into pieces of at most `most`, the one that is done first where `threads` share them and
/// each piece costs its surroundings as well: `more` pixels across and down, which is what layers compute on average.
PieceGrid grid_of(base::PixelRect area, base::PixelSize most, int more, int threads) {
    const base::PixelSize fewest{parts_of(area.width, most.width), parts_of(area.height, most.height)};
    PieceGrid best{area, most};
    double least = 0;
    for (int rows = fewest.height; rows <= fewest.height + threads; ++rows) {
        for (int columns = fewest.width; columns <= fewest.width + threads; ++columns) {
            const base::PixelSize piece{at_places(parts_of(area.width, columns)),
                                        at_places(parts_of(area.height, rows))};
            const double turns =
                parts_of(parts_of(area.width, piece.width) * parts_of(area.height, piece.height), threads);
            const double cost = turns * (piece.width + more) * (piece.height + more);
            if (least == 0 || cost < least) {
                least = cost;
                best.piece = piece;
            }
        }
    }
    return best;
}

/// What must be kept so that nothing is computed twice: two rows of pieces, where a band of the print lies on both or
/// the next is made ahead.
std::size_t bytes_needed(const PieceGrid& grid) {
    return piece_bytes({grid.area.width, std::min(grid.area.height, 2 * grid.piece.height)});
}

}  // namespace

PiecePlan piece_plan(const enlarge::Network& network, const std::vector<base::PixelRect>& areas, int threads,
                     std::size_t most_bytes) {
    // Wider pieces cost less in surroundings, narrower ones leave memory for more threads.
    const std::size_t most_for_threads = most_bytes / 5 * 3;
    const auto threads_at = [&](int side) {
        const std::size_t most = most_for_threads / thread_bytes(network, side, areas.size());
        return std::clamp(static_cast<int>(std::min<std::size_t>(most, 1'000'000)), 1, std::max(1, threads));
    };
    const auto speed_at = [&](int side) {
        const double useful = side / (side + surroundings(network) / 2.0);
        return threads_at(side) * useful * useful;
    };
    const int wide = *std::max_element(std::begin(widths), std::end(widths),
                                       [&](int a, int b) { return speed_at(a) < speed_at(b); });
    const std::size_t of_thread = thread_bytes(network, wide, areas.size());

    PiecePlan plan;
    plan.threads = threads_at(wide);
    const std::size_t of_threads = of_thread * static_cast<std::size_t>(plan.threads);
    // The results that are being computed come on top of those that are kept.
    const std::size_t under_way = static_cast<std::size_t>(plan.threads) * piece_bytes({wide, wide * 3 / 2});
    const std::size_t taken = of_threads + under_way;
    const std::size_t for_results = most_bytes > taken ? most_bytes - taken : 0;
    for (const int height : heights) {
        plan.levels.clear();
        std::size_t needed = 0;
        for (const base::PixelRect& area : areas) {
            const PieceGrid grid = grid_of(area, {wide, height}, surroundings(network) / 2, plan.threads);
            plan.levels.push_back({grid, bytes_needed(grid)});
            needed += plan.levels.back().most_bytes;
        }
        if (needed <= for_results) break;
        // Where nothing fits, more is computed again instead of kept.
        for (PiecePlan::Level& level : plan.levels) {
            level.most_bytes = static_cast<std::size_t>(static_cast<double>(level.most_bytes) *
                                                        static_cast<double>(for_results) / static_cast<double>(needed));
        }
    }
    return plan;
}

}  // namespace hangtrue::render
