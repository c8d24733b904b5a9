// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What stands beyond the picture's edge, where a filter or the network looks there.

#include <array>
#include <cstddef>

#include "engine/base/units.h"

namespace hangtrue::render {

enum class Beyond { repeated, mirrored };  ///< The last pixel again and again; the picture turned round at its edge.

/// Fills what `planes` (`size` pixels, rows `stride` apart) have outside of `inner`, which holds at least one pixel.
void extend(const std::array<float*, 3>& planes, std::size_t stride, base::PixelSize size, base::PixelRect inner,
            Beyond beyond);

}  // namespace hangtrue::render
