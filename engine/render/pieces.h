// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Into which pieces a picture is cut for the network, how many of them are kept, and how many threads work on them: so
/// that all cores have work, surroundings cost little, and memory stays within a bound whatever the picture. Nothing of
/// this changes a bit of the result. Pure arithmetic.

#include <cstddef>
#include <vector>

#include "engine/base/units.h"
#include "engine/enlarge/network.h"

namespace hangtrue::render {

/// What a result takes for each pixel that the network is given: three planes, twice as wide, twice as high.
inline constexpr std::size_t result_bytes_a_pixel = 3 * 4 * sizeof(float);

/// Pieces of one size, counted from the upper left corner of the area that they cover; the last ones are cut off.
struct PieceGrid {
    base::PixelRect area;
    base::PixelSize piece;

    base::PixelRect rect(int row, int column) const {
        const base::PixelRect whole{area.x + column * piece.width, area.y + row * piece.height, piece.width,
                                    piece.height};
        return base::intersection(whole, area);
    }
    std::size_t bytes(int row, int column) const {
        return static_cast<std::size_t>(rect(row, column).width) * static_cast<std::size_t>(rect(row, column).height) *
               result_bytes_a_pixel;
    }
    /// The row, the column of pieces that a pixel of the area lies in.
    int row_of(int y) const { return (y - area.y) / piece.height; }
    int column_of(int x) const { return (x - area.x) / piece.width; }
};

struct PiecePlan {
    struct Level {
        PieceGrid grid;              ///< In the pixels that the network is given.
        std::size_t most_bytes = 0;  ///< Of results.
    };
    std::vector<Level> levels;  ///< A doubling each.
    int threads = 1;            ///< That work on it at once.
};

/// A part of the enlarged picture is filled so many rows at a time, which keeps a thread's memory small.
inline constexpr int rows_filled_at_once = 192;

/// `areas`: what the network is to be given at each doubling, not empty. `threads`: as many as there are cores for.
/// `most_bytes`: for kept results and the memory of all threads together; that of one thread and a row of the smallest
/// pieces are taken in any case.
PiecePlan piece_plan(const enlarge::Network& network, const std::vector<base::PixelRect>& areas, int threads,
                     std::size_t most_bytes);

}  // namespace hangtrue::render
