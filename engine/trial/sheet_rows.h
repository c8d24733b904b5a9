// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A sheet's samples, row by row. Thread-safe to read.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/trial/sheet.h"

namespace hangtrue::trial {

class SheetRows {
  public:
    /// `cells`: the samples of each cell's window, interleaved R G B of `bits` 8 or 16, as render gives them. Throws
    /// WriteFailed where no font is installed.
    SheetRows(const Sheet& sheet, int bits, std::vector<std::vector<std::byte>> cells);

    /// Rows [first, first + count) of the file.
    void fill(int first, int count, std::span<std::byte> out) const;

  private:
    struct Lettering {
        base::PixelRect rect;
        std::vector<std::uint8_t> ink;
    };
    Sheet m_sheet;
    int m_bits;
    std::vector<std::vector<std::byte>> m_cells;
    std::vector<Lettering> m_letterings;
};

}  // namespace hangtrue::trial
