// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/file_name.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "engine/base/error.h"
#include "engine/base/nearest.h"
#include "engine/base/units_text.h"
#include "engine/plan/words.h"

namespace hangtrue::plan {
namespace {

/// Room for " (2)" and for the hidden name under which some file systems need the file to grow;
/// most file systems end at 255 bytes.
constexpr std::size_t most_bytes = 120;

struct CodePoint {
    char32_t value = 0;
    std::size_t bytes = 1;
    bool valid = false;
};

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

bool is_harmless(char letter) {
    return (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z') ||
           (letter >= '0' && letter <= '9') ||
           std::string_view(" .-_()+").find(letter) != std::string_view::npos;
}

/// Path separators, wildcards, control characters and the like become "_"; runs of them, and of
/// spaces, one.
std::string harmless(std::string_view utf8) {
    std::string text;
    const auto append = [&text](std::string_view piece) {
        const bool repeats =
            (piece == "_" || piece == " ") && !text.empty() && text.back() == piece.front();
        if (!repeats) text += piece;
    };
    for (std::size_t at = 0; at < utf8.size();) {
        const CodePoint here = code_point_at(utf8, at);
        const std::string_view piece = utf8.substr(at, here.bytes);
        at += here.bytes;
        const bool is_control = here.value < 0x20 || (here.value >= 0x7f && here.value < 0xa0) ||
                                (here.value >= 0x2028 && here.value <= 0x202e) ||
                                (here.value >= 0x2066 && here.value <= 0x2069) ||
                                here.value == 0xfeff;
        const bool is_kept =
            here.valid && !is_control && (here.value >= 0x80 || is_harmless(piece.front()));
        append(is_kept ? piece : "_");
    }
    return text;
}

/// Nothing hidden (a leading dot), taken for an option (a leading hyphen) or dropped by some
/// systems (a trailing dot or space).
std::string trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" .-");
    if (first == std::string_view::npos) return {};
    return std::string(text.substr(first, text.find_last_not_of(" .") - first + 1));
}

/// The first `characters` code points, or fewer bytes.
std::string shortened(std::string_view text, std::size_t characters, std::size_t bytes) {
    std::size_t at = 0;
    for (std::size_t i = 0; i < characters && at < text.size(); ++i) {
        const std::size_t next = at + code_point_at(text, at).bytes;
        if (next > bytes) break;
        at = next;
    }
    return std::string(text.substr(0, at));
}

std::size_t characters_in(std::string_view text) {
    std::size_t count = 0;
    for (std::size_t at = 0; at < text.size(); ++count) at += code_point_at(text, at).bytes;
    return count;
}

std::string lower_case(std::string_view text) {
    std::string result(text);
    for (char& letter : result) {
        if (letter >= 'A' && letter <= 'Z') letter = static_cast<char>(letter - 'A' + 'a');
    }
    return result;
}

/// Without ".tif" and its like; other endings stay ("ridge.v2").
std::string without_picture_ending(std::string_view name) {
    for (const std::string_view ending : {".tif", ".tiff", ".jpg", ".jpeg", ".png"}) {
        if (name.size() > ending.size() &&
            lower_case(name.substr(name.size() - ending.size())) == ending) {
            return std::string(name.substr(0, name.size() - ending.size()));
        }
    }
    return std::string(name);
}

std::string size_word(base::SizeMm size) {
    const auto quarters = [](base::Millimetres side) {
        const double in_quarters = base::in_inches(side) * 4;
        return std::abs(in_quarters - std::round(in_quarters)) < 0.01;
    };
    if (quarters(size.width) && quarters(size.height)) {
        return base::number_text(base::in_inches(size.width), 2) + "x" +
               base::number_text(base::in_inches(size.height), 2) + "in";
    }
    return base::number_text(size.width.value / 10, 1) + "x" +
           base::number_text(size.height.value / 10, 1) + "cm";
}

std::string panel_word(const NameParts& parts) {
    return std::to_string(parts.panel) + "of" + std::to_string(parts.panels);
}

std::optional<std::string> value_of(std::string_view word, const NameParts& parts) {
    if (word == "picture") return without_picture_ending(parts.picture);
    if (word == "shop") return parts.shop;
    if (word == "medium") return parts.medium;
    if (word == "size") return size_word(parts.size);
    if (word == "width_px") return std::to_string(parts.width_px);
    if (word == "height_px") return std::to_string(parts.height_px);
    if (word == "ppi") return base::number_text(parts.ppi.value, 1);
    if (word == "panel") return panel_word(parts);
    if (word == "quantity") return std::to_string(parts.quantity);
    return std::nullopt;
}

[[noreturn]] void refuse_word(std::string_view word) {
    std::vector<std::string> known;
    for (const auto& name : name_words()) known.push_back("{" + name + "}");
    const auto nearest = base::nearest_word(word, name_words());
    throw base::InvalidWish(
        "The shop's name rule holds {" + std::string(word) + "}, which means nothing." +
        (nearest ? " Did you mean {" + *nearest + "}?" : "") + " Known are " + listed(known) + ".");
}

std::string filled_in(std::string_view rule, const NameParts& parts) {
    std::string text;
    while (!rule.empty()) {
        const auto open = rule.find('{');
        text += rule.substr(0, open);
        if (open == std::string_view::npos) break;
        const auto close = rule.find('}', open);
        const auto word =
            rule.substr(open + 1, close == std::string_view::npos ? close : close - open - 1);
        const auto value = value_of(word, parts);
        if (!value || close == std::string_view::npos) refuse_word(word);
        text += *value;
        rule.remove_prefix(close + 1);
    }
    return text;
}

std::string body_of(std::string_view rule, const NameParts& parts, bool ascii) {
    const std::string text = filled_in(rule, parts);
    return trimmed(harmless(ascii ? ascii_folded(text) : text));
}

}  // namespace

const std::vector<std::string>& name_words() {
    static const std::vector<std::string> words{
        "picture", "shop", "medium", "size", "width_px", "height_px", "ppi", "panel", "quantity"};
    return words;
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

std::string file_name(const shops::FileRules& rules, const NameParts& parts,
                      std::string_view extension) {
    std::string rule = rules.name_rule.empty() ? "{picture} {size} {medium}"
                                               : without_picture_ending(rules.name_rule);
    // Several panels may never share a name.
    std::string tail;
    if (parts.panels > 1 && rule.find("{panel}") == std::string::npos)
        tail = " " + panel_word(parts);

    const bool ascii = rules.ascii_names.value_or(true);
    const auto limit =
        static_cast<std::size_t>(std::max(rules.most_name_length.value_or(int{most_bytes}), 1));
    const std::size_t most_characters = std::min(limit, most_bytes);
    const std::size_t outside_body = tail.size() + extension.size();
    const std::size_t room = most_characters > outside_body ? most_characters - outside_body : 1;
    const auto fits = [room](const std::string& body) {
        return characters_in(body) <= room && body.size() <= most_bytes;
    };

    // The picture's own name gives way first: size and medium tell the shop more.
    NameParts shorter = parts;
    shorter.picture = without_picture_ending(parts.picture);
    std::string body = body_of(rule, shorter, ascii);
    while (!fits(body) && characters_in(shorter.picture) > 8) {
        shorter.picture =
            shortened(shorter.picture, characters_in(shorter.picture) - 1, shorter.picture.size());
        body = body_of(rule, shorter, ascii);
    }
    if (!fits(body)) body = trimmed(shortened(body, room, most_bytes));
    if (body.find_first_not_of(" ._-") == std::string::npos)
        body = shortened("print", room, most_bytes);
    return body + tail + std::string(extension);
}

}  // namespace hangtrue::plan
