// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How far the picture that the network made, made small again, is from the picture it was made from.
///
/// Compared on the network's own grid, before exact sizing and sharpening, in the picture's encoding. Made small again
/// means: reduced by two once for each time the network ran, in the end softened by the blur that the network was told
/// (enlarge::Consistency). What is compared are blocks of 16 x 16 picture pixels, counted from the picture's upper left
/// corner; those that the print shows only in part are left out.

#include <array>
#include <cstddef>
#include <cstdint>
#include <mutex>
#include <optional>
#include <vector>

#include "engine/base/aligned_floats.h"
#include "engine/base/units.h"
#include "engine/enlarge/consistency.h"
#include "engine/plan/plan.h"

namespace hangtrue::render {

/// Differences of R, G and B in codes of 255.
struct Likeness {
    static constexpr int block_px = 16;

    std::int64_t pixels = 0;  ///< Of the picture, that were compared.
    double mean = 0;          ///< Absolute difference of a channel, mean of all pixels and channels.
    double root_mean_square = 0;
    double largest_block = 0;  ///< Absolute difference of a channel's mean over a block, the largest.
    double decibels() const;   ///< Peak signal to noise ratio, from the root mean square; 200 at most.
};

/// Takes the blocks while a file is rendered. The figures are the same for any number of threads: each block has one
/// place, and whoever computes it finds the same values. Twelve bytes a block. take() may be called by several threads
/// at once.
class LikenessRecord {
  public:
    /// Of a plan that enlarges with a network.
    explicit LikenessRecord(const plan::Plan& plan);

    /// The blocks, counted in blocks, whose upper left corner stands in `part` of the enlarged picture. May be none.
    base::PixelRect blocks_in(base::PixelRect part) const;
    /// The pixels of the enlarged picture that `blocks` are compared by. Within it.
    base::PixelRect enlarged_part(base::PixelRect blocks) const;

    /// Three planes, the first pixel of which is `part`'s.
    struct Planes {
        std::array<const float*, 3> planes{};
        std::size_t stride = 0;
        base::PixelRect part;
    };
    /// `picture` holds the pixels of the blocks, `enlarged` at least enlarged_part(blocks).
    void take(base::PixelRect blocks, const Planes& picture, const Planes& enlarged, base::AlignedFloats& scratch);

    /// Nothing where the print shows no block as a whole.
    std::optional<Likeness> likeness() const;

  private:
    struct Block {
        float differences = 0;  ///< Absolute ones and squares, summed over pixels and channels…
        float squares = 0;
        float largest = 0;  ///< …and the largest difference of a channel's mean.
        void add(const Planes& picture, const Planes& again, std::size_t channel, int x, int y);
    };
    base::PixelRect surroundings(base::PixelRect blocks) const;
    void cut_out(base::PixelRect part, const Planes& enlarged, const std::array<float*, 3>& to) const;
    const float* made_small_again(float* plane, base::PixelSize size, float* other, float* scratch) const;

    base::PixelSize m_picture;
    int m_doublings;
    enlarge::Consistency m_first, m_second;
    base::PixelRect m_blocks;  ///< Counted in blocks.
    std::vector<Block> m_taken;
    std::mutex m_mutex;
};

}  // namespace hangtrue::render
