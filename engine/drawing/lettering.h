// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Words as coverage, to be laid on a file's pixels. Thread-safe.

#include <cstdint>
#include <string_view>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::drawing {

/// One line of text, as large as fits `size`, at its left edge and in the middle of its height: 0 (bare) to 255 (ink),
/// row by row. Set in the typeface of the pages (canvas.h). Throws WriteFailed where no font is installed.
std::vector<std::uint8_t> lettering(base::PixelSize size, std::string_view text);

}  // namespace hangtrue::drawing
