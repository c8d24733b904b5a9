// SPDX-License-Identifier: Apache-2.0
#pragma once

/// "Did you mean …?": the known word nearest to a mistyped one.

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace hangtrue::base {

/// The word with the fewest single-letter edits (Levenshtein 1966) from `word`, letter case aside; nothing
/// when even that is further than a third of its length plus one. Thread-safe.
std::optional<std::string> nearest_word(std::string_view word, std::span<const std::string> known);

}  // namespace hangtrue::base
