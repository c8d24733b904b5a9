// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where a picture is so flat that the network need not look at it: the cubic alone, made consistent with the picture
/// as everything is, gives the same there within 1/512.
///
/// Measured on photographs reduced by two to four (docs/performance.md, "Flat regions"): the largest difference was
/// two thirds of that. What tells is how far the samples of a small tile lie apart, of each tile in the surroundings: a
/// sky grows slowly brighter, and its tiles are still within a few codes; a branch or grain is not.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/base/units.h"
#include "engine/enlarge/measures.h"
#include "engine/enlarge/rgb_planes.h"
#include "engine/enlarge/winograd.h"

namespace hangtrue::enlarge {

/// Codes of 255 that a flat tile's samples may lie apart: fewer in a picture with noise, which the network takes away.
int most_codes_of_flat(const Measures& measures);

/// Tiles of a part, tile_px on each side, row by row: whether each is flat.
class FlatTiles {
  public:
    /// `source` holds the part's whole tiles with `look_tiles` more on each side; its first pixel is that of the
    /// outermost. The samples of a picture that is computed in its own encoding are whole 8 or 16-bit codes over
    /// 0..1, so that no rounding decides; of others they are what a curve makes of whole codes, alike everywhere.
    /// `most_codes`: of 255, that the samples of a tile may lie apart.
    FlatTiles(const RgbPlanes<const float>& source, base::PixelSize tiles, int look_tiles, int most_codes);

    bool is_flat(int row, int column) const {
        return m_flat[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_tiles.width) +
                      static_cast<std::size_t>(column)] != 0;
    }
    /// The columns from the first tile in rows [first, end) that is not flat to after the last; none: equal.
    struct Columns {
        int first = 0;
        int end = 0;
    };
    Columns not_flat(int first_row, int end_row) const;

  private:
    base::PixelSize m_tiles;
    std::vector<std::uint8_t> m_flat;
    std::vector<Columns> m_not_flat;  ///< Of each row.
};

}  // namespace hangtrue::enlarge
