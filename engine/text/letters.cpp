// SPDX-License-Identifier: Apache-2.0
#include "engine/text/letters.h"

#include <array>

namespace hangtrue::text {
namespace {

/// U+00C0 to U+017F (Latin-1 Supplement and Latin Extended-A) without accents; "_" where nothing is
/// like it.
constexpr std::array<std::string_view, 0x180 - 0xc0> latin{
    "A", "A", "A",  "A",  "A", "A", "AE", "C", "E", "E", "E", "E", "I", "I", "I",  "I",   // C0
    "D", "N", "O",  "O",  "O", "O", "O",  "x", "O", "U", "U", "U", "U", "Y", "Th", "ss",  // D0
    "a", "a", "a",  "a",  "a", "a", "ae", "c", "e", "e", "e", "e", "i", "i", "i",  "i",   // E0
    "d", "n", "o",  "o",  "o", "o", "o",  "-", "o", "u", "u", "u", "u", "y", "th", "y",   // F0
    "A", "a", "A",  "a",  "A", "a", "C",  "c", "C", "c", "C", "c", "C", "c", "D",  "d",   // 100
    "D", "d", "E",  "e",  "E", "e", "E",  "e", "E", "e", "E", "e", "G", "g", "G",  "g",   // 110
    "G", "g", "G",  "g",  "H", "h", "H",  "h", "I", "i", "I", "i", "I", "i", "I",  "i",   // 120
    "I", "i", "IJ", "ij", "J", "j", "K",  "k", "k", "L", "l", "L", "l", "L", "l",  "L",   // 130
    "l", "L", "l",  "N",  "n", "N", "n",  "N", "n", "n", "N", "n", "O", "o", "O",  "o",   // 140
    "O", "o", "OE", "oe", "R", "r", "R",  "r", "R", "r", "S", "s", "S", "s", "S",  "s",   // 150
    "S", "s", "T",  "t",  "T", "t", "T",  "t", "U", "u", "U", "u", "U", "u", "U",  "u",   // 160
    "U", "u", "U",  "u",  "W", "w", "Y",  "y", "Y", "Z", "z", "Z", "z", "Z", "z",  "s",   // 170
};

std::string_view ascii_of(char32_t value) {
    if (value >= 0xc0 && value < 0x180) return latin[value - 0xc0];
    if (value == 0xa0) return " ";
    if (value >= 0x2010 && value <= 0x2015) return "-";  // Hyphens and dashes.
    return "_";
}

bool is_combining(char32_t value) { return value >= 0x300 && value < 0x370; }

}  // namespace

CodePoint code_point_at(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned first = byte(at);
    if (first < 0x80) return {first, 1, true};
    const std::size_t length = first >= 0xf0 ? 4 : first >= 0xe0 ? 3 : 2;
    if (first < 0xc2 || first > 0xf4 || at + length > text.size()) return {};
    char32_t value = first & (0xffU >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(at + i) & 0xc0U) != 0x80) return {};
        value = value << 6U | (byte(at + i) & 0x3fU);
    }
    const bool overlong = (length == 3 && value < 0x800) || (length == 4 && value < 0x10000);
    if (overlong || value > 0x10ffff || (value >= 0xd800 && value <= 0xdfff)) return {};
    return {value, length, true};
}

std::size_t characters_in(std::string_view text) {
    std::size_t count = 0;
    for (std::size_t at = 0; at < text.size(); ++count) at += code_point_at(text, at).bytes;
    return count;
}

std::string ascii_folded(std::string_view utf8) {
    std::string text;
    for (std::size_t at = 0; at < utf8.size();) {
        const CodePoint here = code_point_at(utf8, at);
        if (here.valid && here.value < 0x80) {
            text += utf8[at];
        } else if (!here.valid || !is_combining(here.value)) {
            // An accent that stands behind its letter just goes.
            text += here.valid ? ascii_of(here.value) : "_";
        }
        at += here.bytes;
    }
    return text;
}

bool is_utf8(std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint here = code_point_at(text, at);
        const bool is_break = here.value == '\n' || here.value == '\r' || here.value == '\t';
        if (!here.valid || (here.value < 0x20 && !is_break) || here.value == 0x7f) return false;
        at += here.bytes;
    }
    return true;
}

std::string id_of(std::string_view name) {
    std::string id;
    for (const char letter : ascii_folded(name)) {
        const bool is_capital = letter >= 'A' && letter <= 'Z';
        const bool is_kept = is_capital || (letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9');
        if (is_kept) {
            id += is_capital ? static_cast<char>(letter - 'A' + 'a') : letter;
        } else if (!id.empty() && id.back() != '-') {
            id += '-';
        }
    }
    if (id.ends_with('-')) id.pop_back();
    return id;
}

}  // namespace hangtrue::text
