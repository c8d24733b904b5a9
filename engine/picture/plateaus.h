// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where a picture's smooth parts are flat steps instead of slopes: what shows as bands once it is printed large.
/// Looked for in the rows as they are read for something else.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/base/units.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::picture {

/// Tiles of the upright picture, row by row.
struct Plateaus {
    static constexpr int tile_px = 32;
    /// Codes of 8 bits, of the middle channel (green, grey or L*).
    struct Tile {
        float step = 0;      ///< The mean step from plateau to plateau; 0: a tile without plateaus.
        float level = 0;     ///< The mean of the tile.
        float width_px = 0;  ///< How wide a plateau is along the slope.
    };
    int columns = 0;
    int rows = 0;
    std::vector<Tile> tiles;
};

/// A tile has plateaus where neighbours are mostly the same code, the others follow one another in one direction, and
/// the steps are not those of an edge (6 codes of 8 bits on average): noise of half a code hides steps, and a tile that
/// holds it has none.
Plateaus::Tile plateaus_in(std::span<const float> codes);  ///< tile_px x tile_px codes of 8 bits.

/// Hands the rows of `picture` through and looks at each as it passes. Tiles of which a row was never read stay without
/// plateaus. One thread at a time.
class WatchedRows : public raster::RowReader {
  public:
    explicit WatchedRows(raster::RowReader& picture);
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override;
    std::int64_t decoder_bytes() const override { return m_picture.decoder_bytes(); }
    std::int64_t spilled_bytes() const override { return m_picture.spilled_bytes(); }
    const Plateaus& plateaus() const { return m_plateaus; }

  private:
    void look_at(std::span<const std::byte> row);

    raster::RowReader& m_picture;
    Plateaus m_plateaus;
    int m_next = 0;  ///< The row that the band under way waits for; after a gap the next band begins anew.
    int m_held = 0;  ///< Rows of the band that are there.
    std::vector<float> m_band;
};

}  // namespace hangtrue::picture
