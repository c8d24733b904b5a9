// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Which part of a picture the cells show: the one whose colours tell most. Pure, thread-safe.

#include <cstddef>
#include <span>
#include <vector>

#include "engine/base/units.h"
#include "engine/colour/difference.h"

namespace hangtrue::trial {

/// Mean colours of a picture's blocks, row by row; a block stands for an equal share of it.
struct BlockColours {
    int columns = 0;
    int rows = 0;
    std::vector<colour::Lab> colours;
};

/// Of the windows of `width` x `height` (shares of the picture's sides, up to 1) the one that tells most of lightness,
/// tint and contrast together: whose colours, seen with another correction, look most different in whichever direction.
/// Strong colours count less, for the eye forgives them more; what memory knows (skin, sky, grass) counts double.
/// In shares of the picture.
base::RealRect telling_part(const BlockColours& blocks, double width, double height);

/// The colours of that part: means of up to 6 x 6 fields.
std::vector<colour::Lab> colours_of_part(const BlockColours& blocks, base::RealRect part);

}  // namespace hangtrue::trial
