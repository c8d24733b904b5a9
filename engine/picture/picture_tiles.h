// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The spectra of all tiles of a picture, as its rows come by. One thread calls; tiles are transformed by several.

#include <array>
#include <memory>
#include <span>
#include <vector>

#include "engine/base/units.h"
#include "engine/base/workers.h"
#include "engine/picture/resolved.h"

namespace hangtrue::picture {

/// Tiles of 128 x 128 pixels side by side; of pictures under 4 megapixels they overlap by half, so that there are
/// enough. The outcome does not depend on the number of threads.
class PictureTiles {
  public:
    PictureTiles(base::PixelSize size, int threads);
    ~PictureTiles();

    /// The next row of luminance, 0..255, from the top.
    void add_row(std::span<const float> row);

    /// After the last row: the tiles, without those that are clipped over more than a tenth as long as others remain.
    /// Empty for pictures with a side under 16 pixels.
    std::vector<TilePower> tiles();
    int tile_side() const;

  private:
    void start_row_of_tiles();

    struct Buffer {
        std::vector<float> rows;
        std::unique_ptr<base::Workers::Group> group;
    };
    base::PixelSize m_size;
    base::PixelSize m_tile;
    std::vector<int> m_lefts;
    std::vector<int> m_tops;
    std::vector<TilePower> m_tiles;
    std::vector<char> m_clipped;  // Not bits: threads write neighbouring ones.
    std::array<Buffer, 2> m_buffers;
    std::size_t m_filling = 0;  // The buffer that rows go to.
    int m_held = 0;             // Its rows so far.
    int m_next_row = 0;
    std::size_t m_next_top = 0;
    std::vector<std::unique_ptr<TileSpectrum>> m_spectra;  // One a worker.
    std::unique_ptr<base::Workers> m_workers;              // Last: ends before what its tasks use.
};

}  // namespace hangtrue::picture
