// SPDX-License-Identifier: Apache-2.0
#pragma once

/// "X,Y,W,H" of an option.

#include <string>

#include "engine/base/units.h"

namespace hangtrue::cli {

/// More than any file's sides, and far from overflowing when two are added.
inline constexpr int beyond_any_side = 1 << 29;

/// `of_what`: what its pixels are of, "the file". Throws InvalidWish, naming the option and what was given.
base::PixelRect rectangle_of(const std::string& option, const std::string& text, const std::string& of_what);

}  // namespace hangtrue::cli
