// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where on a grid something was found: connected parts, and the rectangles to show. Pure. Private to engine/checks.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::checks {

/// Row by row, 0 or 1.
struct Mask {
    base::PixelSize size;
    std::vector<std::uint8_t> marked;
    explicit Mask(base::PixelSize of) : size(of), marked(static_cast<std::size_t>(of.count())) {}
    std::uint8_t& at(int x, int y) {
        return marked[static_cast<std::size_t>(y) * static_cast<std::size_t>(size.width) + static_cast<std::size_t>(x)];
    }
    std::uint8_t at(int x, int y) const {
        return marked[static_cast<std::size_t>(y) * static_cast<std::size_t>(size.width) + static_cast<std::size_t>(x)];
    }
    std::int64_t count() const;
};

struct Area {
    base::PixelRect box;
    std::int64_t count = 0;  ///< Of its marked places.
};

/// What hangs together, corners included; the largest first.
std::vector<Area> areas(const Mask& mask);

/// Only what hangs together in `least` places or more.
Mask without_specks(const Mask& mask, std::int64_t least);

/// At most `most` rectangles around what is marked, the weightiest first: what lies near one another is shown as one,
/// what is thinly scattered not at all.
std::vector<base::PixelRect> places(const Mask& mask, std::size_t most = 4);

}  // namespace hangtrue::checks
