// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Widths on a terminal. Thread-safe.

#include <algorithm>
#include <cstddef>
#include <string_view>

namespace hangtrue::cli {

/// Letters, not bytes: "…" is one.
inline std::size_t shown_width(std::string_view text) {
    const auto begins_letter = [](char byte) { return (static_cast<unsigned char>(byte) & 0xc0U) != 0x80U; };
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), begins_letter));
}

}  // namespace hangtrue::cli
