// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Lengths and sizes as people write them: "38mm", "3.8 cm", "24in", "2 m", "8ft", "36x24in".
///
/// Thread-safe. A text that is no length gives nothing; the caller says what was being asked.

#include <optional>
#include <string>
#include <string_view>

#include "engine/base/units.h"

namespace hangtrue::base {

enum class LengthUnit { millimetre, centimetre, metre, inch, foot };

/// A length of zero or more. A bare number takes `fallback`; without one it is no length.
std::optional<Millimetres> parse_length(std::string_view text, std::optional<LengthUnit> fallback = std::nullopt);

/// "WxH" with one unit at the end or one on each side; both sides are positive.
std::optional<SizeMm> parse_size(std::string_view text, std::optional<LengthUnit> fallback = std::nullopt);

/// How the user likes lengths shown.
enum class ShownUnits { inches, centimetres };

/// "36 in", "91.4 cm": at most one decimal (two below 10), no trailing zeros.
std::string length_text(Millimetres length, ShownUnits units);

/// "36 x 24 in".
std::string size_text(SizeMm size, ShownUnits units);

/// A distance in the room: "1.4 m" or "4.6 ft".
std::string distance_text(Millimetres distance, ShownUnits units);

/// "0.97 m (3.2 ft)": for sentences that are kept or go to others.
std::string distance_text(Millimetres distance);

/// `value` with at most `decimals` decimals and without trailing zeros, the same in every locale.
std::string number_text(double value, int decimals);

/// A whole number with separators for the eye: "96 000 000" is shown as "96,000,000".
std::string count_text(long long value);

/// "34.6 MB" (1 MB = 1,000,000 bytes, as shops count).
std::string bytes_text(long long bytes);

}  // namespace hangtrue::base
