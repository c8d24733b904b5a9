// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/rectangles.h"

#include <array>
#include <charconv>

#include "engine/base/error.h"

namespace hangtrue::cli {

base::PixelRect rectangle_of(const std::string& option, const std::string& text, const std::string& of_what) {
    std::array<int, 4> numbers{};
    const char* at = text.data();
    const char* end = at + text.size();
    bool is_rectangle = true;
    for (std::size_t i = 0; is_rectangle && i < numbers.size(); ++i) {
        if (i > 0) {
            is_rectangle = at != end && *at == ',';
            if (is_rectangle) ++at;
        }
        const auto [stop, error] = std::from_chars(at, end, numbers[i]);
        is_rectangle =
            is_rectangle && error == std::errc() && numbers[i] < beyond_any_side && numbers[i] > -beyond_any_side;
        at = stop;
    }
    const auto [x, y, width, height] = numbers;
    if (!is_rectangle || at != end || width <= 0 || height <= 0) {
        throw base::InvalidWish("--" + option + " takes left, top, width and height in whole pixels of " + of_what +
                                ", as in 1200,800,640,480; not \"" + text + "\".");
    }
    return {x, y, width, height};
}

}  // namespace hangtrue::cli
