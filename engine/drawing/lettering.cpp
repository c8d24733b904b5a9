// SPDX-License-Identifier: Apache-2.0
#include "engine/drawing/lettering.h"

#include "engine/drawing/canvas.h"

namespace hangtrue::drawing {

std::vector<std::uint8_t> lettering(base::PixelSize size, std::string_view text) {
    constexpr base::PixelsPerInch ppi{72};  // A pixel is a point.
    constexpr double line_height = 1.25;    // Of the type size, a little more than the typeface needs.
    const double width_mm = base::length_of(size.width, ppi).value;
    Canvas canvas = Canvas::png({{width_mm}, base::length_of(size.height, ppi)}, ppi);
    canvas.text(0, 0, width_mm, text,
                {.size_pt = size.height / line_height, .weight = Weight::semibold, .most_lines = 1});
    std::vector<std::uint8_t> ink = canvas.finish_as_grey();
    for (std::uint8_t& value : ink) value = static_cast<std::uint8_t>(255 - value);
    return ink;
}

}  // namespace hangtrue::drawing
