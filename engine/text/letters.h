// SPDX-License-Identifier: Apache-2.0
#pragma once

/// UTF-8 letter by letter, and Latin letters without their accents. Pure, thread-safe; any bytes will do.

#include <cstddef>
#include <string>
#include <string_view>

namespace hangtrue::text {

/// One letter of a text. Bytes that are no UTF-8 count as one invalid letter each.
struct CodePoint {
    char32_t value = 0;
    std::size_t bytes = 1;
    bool valid = false;
};

/// The letter that begins at byte `at`, which is one of `text`.
CodePoint code_point_at(std::string_view text, std::size_t at);

/// Letters, not bytes.
std::size_t characters_in(std::string_view text);

/// Latin letters without their accents (the letters of ISO 8859-1, -2 and -15), "_" for what has no
/// likeness in ASCII; bytes that are no UTF-8 too.
std::string ascii_folded(std::string_view utf8);

/// Whether `text` is well-formed UTF-8 without control characters but line breaks and tabs.
bool is_utf8(std::string_view text);

/// A short name made of `name`: its small letters and digits, a hyphen for each run of anything else; "Söhne & Co."
/// is "sohne-co". Empty where nothing of the name is like a letter or digit of ASCII.
std::string id_of(std::string_view name);

}  // namespace hangtrue::text
