// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A picture small enough to be held whole and laid on a page.

#include <cstdint>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::report {

/// Interleaved 8-bit sRGB, row by row. Size 0 x 0 where there is none.
struct SmallPicture {
    base::PixelSize size;
    std::vector<std::uint8_t> rgb;
};

}  // namespace hangtrue::report
