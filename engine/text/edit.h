// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Changing one value of a TOML file that a user wrote: everything else, comments, order, spacing
/// and line ends, stays byte for byte. Pure, thread-safe.

#include <cstddef>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "engine/text/writer.h"

namespace hangtrue::text {

/// From the root to a value: keys, and the number of a table within its array, counted from 0:
/// {"medium", 2, "file", "big_tiff"}.
using Step = std::variant<std::string, std::size_t>;
using Path = std::vector<Step>;

/// `text` with the value at `path` changed. A key that is missing is added as a line of its own
/// behind the last one of its table (or within the braces of a table in one line); a table that is
/// missing is written into its parent's lines as a dotted key ("file.big_tiff = true"). Only tables
/// of an array must exist.
///
/// Throws UnreadableInput when `text` is no TOML, when a step leads nowhere, when the value to
/// change is a table or an array of tables, or when the change cannot be made without touching
/// more.
std::string with_value(std::string_view text, const std::string& file_name, const Path& path, const Value& value);

}  // namespace hangtrue::text
