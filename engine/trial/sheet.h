// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A test sheet: a small print that holds one part of a picture in several variants (cells), greys, colours, edges and
/// corner marks. Values alone; places are pixels of the sheet as it prints, from its upper left corner: a mirrored file
/// holds it the other way round.

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/colour/correction.h"
#include "engine/colour/difference.h"

namespace hangtrue::trial {

/// The picture's part as it would print with another correction.
struct Cell {
    char letter = 'A';
    base::PixelRect rect;
    colour::Shift variant;  ///< What the file is corrected by in this cell.
};

/// Of one flat colour.
struct Patch {
    enum class Kind { grey, near_grey, colour };  ///< The wedge; middle greys with a tint; all others.
    std::string name;                             ///< "W1" to "W21", "G1" …, "P1" …
    Kind kind = Kind::grey;
    base::PixelRect rect;
    std::array<float, 3> rgb{};  ///< As sent, in file space, 0..1: a code of the file's depth exactly.
    colour::Lab lab;             ///< What that is, D50, relative to white.
};

/// A square mark of the family tag36h11: 10 x 10 modules, the outermost ring white.
struct Mark {
    int code = 0;
    base::PixelRect rect;
};

/// Two flat greys that meet in a straight edge through the middle of `rect` (ISO 12233), for the medium's blur.
struct SlantedEdge {
    base::PixelRect rect;
    double degrees = 0;  ///< From the vertical (steep) or the horizontal, clockwise.
    bool is_vertical = true;
    float dark = 0;  ///< R = G = B in file space; dark is on the left or above.
    float light = 0;
};

/// Black and white lines of equal width, for the eye.
struct Lines {
    base::PixelRect rect;
    int width_px = 1;
    bool are_vertical = true;
};

/// Words on the sheet: the cells' letters and its number.
struct Caption {
    base::PixelRect rect;
    std::string text;
};

struct Sheet {
    std::int64_t number = 0;  ///< Of the ledger; what the four marks together carry.
    base::PixelSize size;
    base::PixelsPerInch ppi;
    base::RealRect part;     ///< What of the upright picture all cells show.
    base::PixelRect window;  ///< That part in the final print's file; as large as each cell.
    std::vector<Cell> cells;
    std::vector<Patch> patches;
    std::array<Mark, 4> marks;  ///< Upper left, upper right, lower right, lower left.
    std::vector<SlantedEdge> edges;
    std::vector<Lines> lines;
    std::vector<Caption> captions;
};

/// The most numbers that four marks can tell apart; larger ones begin again.
inline constexpr std::int64_t most_sheet_number = std::int64_t{146} * 146 * 146 * 146 - 1;

/// The codes of a sheet's four marks: each corner has 146 of the family's 587 codes for itself, so that a mark says
/// which corner it stands in.
std::array<int, 4> codes_of(std::int64_t sheet_number);
/// The number that four codes say; `codes` in the order of the marks.
std::int64_t number_of(const std::array<int, 4>& codes);
/// 0 to 3, as in Sheet::marks.
constexpr int corner_of(int code) { return code / 146; }

}  // namespace hangtrue::trial
