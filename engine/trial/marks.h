// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The sheet's corner marks: squares of the family tag36h11. Thread-safe.

#include <array>
#include <cstdint>

namespace hangtrue::trial {

/// Modules a side: six of code, a black ring, a white ring.
inline constexpr int mark_modules = 10;

/// True where a module of the mark is white; `x` and `y` from its upper left corner, 0 to 9.
using MarkModules = std::array<std::array<bool, mark_modules>, mark_modules>;
MarkModules mark_modules_of(int code);

}  // namespace hangtrue::trial
