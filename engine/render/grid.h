// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The fixed grid of blocks, counted from the file's upper left corner. A pixel is always computed as part of
/// its whole block, so that any window, thread count or cache gives it the same bits.

#include "engine/base/units.h"

namespace hangtrue::render {

/// Constants of the version: changing them changes samples in the last bits.
inline constexpr int block_width = 512;
inline constexpr int block_height = 256;

/// A row of blocks over the file's whole width; bands are computed, handed on and digested one by one.
constexpr int band_count(base::PixelSize file) { return (file.height + block_height - 1) / block_height; }
constexpr base::PixelRect band_rect(base::PixelSize file, int band) {
    return base::intersection({0, band * block_height, file.width, block_height}, {0, 0, file.width, file.height});
}
constexpr int blocks_across(base::PixelSize file) { return (file.width + block_width - 1) / block_width; }
constexpr base::PixelRect block_rect(base::PixelSize file, int column, int band) {
    return base::intersection({column * block_width, band * block_height, block_width, block_height},
                              {0, 0, file.width, file.height});
}

}  // namespace hangtrue::render
