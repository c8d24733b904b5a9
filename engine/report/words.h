// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Texts cut to a length, dates and checksums in words. Private to engine/report. Thread-safe.

#include <string>
#include <string_view>

namespace hangtrue::report {

/// UTF-8 to code points and back; a byte that is no UTF-8 becomes '?'. Control characters become spaces, runs of
/// spaces one, and those at the ends go.
std::u32string one_line(std::string_view text);
std::string utf8(std::u32string_view points);

/// The number of Unicode code points.
int character_count(std::string_view text);

/// At most `most` code points: cut behind a whole word, with "...". A word that is itself too long (a file name) loses
/// its middle, since shops look at its beginning and at its ending.
std::u32string shortened(std::u32string_view text, int most);

/// "14 March 2026" for "2026-03-14…": read the same on both sides of the Atlantic. Another text stays as it is.
std::string date_words(std::string_view date);

/// "3 copies", "1 copy".
std::string counted(long long count, std::string_view singular, std::string_view plural);

}  // namespace hangtrue::report
