// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/file_name.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>

#include "engine/base/error.h"
#include "engine/base/nearest.h"
#include "engine/base/units_text.h"
#include "engine/plan/words.h"
#include "engine/text/letters.h"

namespace hangtrue::plan {
namespace {

using text::ascii_folded;
using text::characters_in;
using text::code_point_at;
using text::CodePoint;

/// Room for " (2)" and for the hidden name under which some file systems need the file to grow;
/// most file systems end at 255 bytes.
constexpr std::size_t most_bytes = 120;
/// Where less is left for picture, size and medium, what comes behind them is said in brief.
constexpr std::size_t least_body = 24;
/// Where even that leaves less, a mark of three letters stands for it.
constexpr std::size_t least_beside_brief = 8;

bool is_harmless(char letter) {
    return (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z') || (letter >= '0' && letter <= '9') ||
           std::string_view(" .-_()+").find(letter) != std::string_view::npos;
}

/// Path separators, wildcards, control characters and the like become "_"; runs of them, and of
/// spaces, one.
std::string harmless(std::string_view utf8) {
    std::string text;
    const auto append = [&text](std::string_view piece) {
        const bool repeats = (piece == "_" || piece == " ") && !text.empty() && text.back() == piece.front();
        if (!repeats) text += piece;
    };
    for (std::size_t at = 0; at < utf8.size();) {
        const CodePoint here = code_point_at(utf8, at);
        const std::string_view piece = utf8.substr(at, here.bytes);
        at += here.bytes;
        const bool is_control = here.value < 0x20 || (here.value >= 0x7f && here.value < 0xa0) ||
                                (here.value >= 0x2028 && here.value <= 0x202e) ||
                                (here.value >= 0x2066 && here.value <= 0x2069) || here.value == 0xfeff;
        const bool is_kept = here.valid && !is_control && (here.value >= 0x80 || is_harmless(piece.front()));
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
        if (name.size() > ending.size() && lower_case(name.substr(name.size() - ending.size())) == ending) {
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
    return base::number_text(size.width.value / 10, 1) + "x" + base::number_text(size.height.value / 10, 1) + "cm";
}

std::string panel_word(const NameParts& parts) {
    return std::to_string(parts.panel) + "of" + std::to_string(parts.panels);
}

bool has_edges(const NameParts& parts) { return parts.wrap || parts.border; }

/// How much of a name is spent on the edges.
enum class Length { full, brief, mark };

std::string wrap_word(const WrapWish& wrap, Length length) {
    switch (wrap.fill) {
        case WrapFill::round: return length == Length::brief ? "rw" : "round-wrap";
        case WrapFill::mirror: return length == Length::brief ? "mw" : "mirror-wrap";
        case WrapFill::colour: return (length == Length::brief ? "w" : "wrap-") + hex(wrap.colour).substr(1);
    }
    return {};
}

/// Widths in millimetres, top, right, bottom, left, or one where all are the same; the colour where it is not white.
std::string border_word(const BorderWish& border, Length length) {
    const auto& widths = border.widths;
    const auto mm = [](base::Millimetres width) { return base::number_text(width.value, 1); };
    std::string word = (length == Length::brief ? "b" : "border-") + mm(widths.top);
    if (widths != base::Edges<base::Millimetres>::all(widths.top)) {
        for (const base::Millimetres width : {widths.right, widths.bottom, widths.left}) word += "-" + mm(width);
    }
    word += "mm";
    if (border.colour != FlatColour{}) word += "-" + hex(border.colour).substr(1);
    return word;
}

/// Three letters that tell one text from another: FNV-1a of 32 bits, its lowest digits to the base 26.
std::string mark_of(std::string_view text) {
    std::uint32_t hash = 2166136261U;
    for (const char letter : text) hash = (hash ^ static_cast<unsigned char>(letter)) * 16777619U;
    std::string mark;
    for (int i = 0; i < 3; ++i, hash /= 26) mark += static_cast<char>('a' + hash % 26);
    return mark;
}

/// "mirror-wrap", "border-20mm", "round-wrap-border-20mm-1A1A1A"; "mw" or a mark where the shop's names are short.
std::string edges_word(const NameParts& parts, Length length) {
    if (length == Length::mark) return mark_of(edges_word(parts, Length::full));
    std::string word;
    // A border that runs on round the bars says it for both.
    const bool is_one = parts.wrap && parts.border && parts.wrap->fill == WrapFill::colour &&
                        parts.wrap->colour == parts.border->colour;
    if (parts.wrap && !is_one) word = wrap_word(*parts.wrap, length);
    if (parts.border) word += (word.empty() ? "" : "-") + border_word(*parts.border, length);
    return word;
}

/// What the rule itself puts between its words.
char separator_of(std::string_view rule) {
    bool is_word = false;
    for (const char letter : rule) {
        if (letter == '{' || letter == '}') is_word = letter == '{';
        if (!is_word && (letter == ' ' || letter == '-' || letter == '_')) return letter;
    }
    return ' ';
}

/// What keeps prints of one picture apart where the rule does not say it: how its edges are made, and which panel.
std::string tail_of(std::string_view rule, const NameParts& parts, Length length) {
    std::string tail;
    if (has_edges(parts) && rule.find("{edges}") == std::string_view::npos) {
        tail += separator_of(rule) + edges_word(parts, length);
    }
    if (parts.panels > 1 && rule.find("{panel}") == std::string_view::npos) {
        tail += separator_of(rule) + panel_word(parts);
    }
    return tail;
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
    if (word == "edges") return has_edges(parts) ? edges_word(parts, Length::full) : "plain";
    if (word == "quantity") return std::to_string(parts.quantity);
    return std::nullopt;
}

[[noreturn]] void refuse_word(std::string_view word) {
    std::vector<std::string> known;
    for (const auto& name : shops::name_rule_words()) known.push_back("{" + name + "}");
    const auto nearest = base::nearest_word(word, shops::name_rule_words());
    throw base::InvalidWish("The shop's name rule holds {" + std::string(word) + "}, which means nothing." +
                            (nearest ? " Did you mean {" + *nearest + "}?" : "") + " Known are " + listed(known) + ".");
}

std::string filled_in(std::string_view rule, const NameParts& parts) {
    std::string text;
    while (!rule.empty()) {
        const auto open = rule.find('{');
        text += rule.substr(0, open);
        if (open == std::string_view::npos) break;
        const auto close = rule.find('}', open);
        const auto word = rule.substr(open + 1, close == std::string_view::npos ? close : close - open - 1);
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

std::string file_name(const shops::FileRules& rules, const NameParts& parts, std::string_view extension) {
    std::string rule = rules.name_rule.empty() ? "{picture} {size} {medium}" : without_picture_ending(rules.name_rule);
    const bool ascii = rules.ascii_names.value_or(true);
    const auto limit = static_cast<std::size_t>(std::max(rules.most_name_length.value_or(int{most_bytes}), 1));
    const std::size_t most_characters = std::min(limit, most_bytes);
    const auto room_beside = [&](const std::string& tail) {
        const std::size_t outside_body = tail.size() + extension.size();
        return most_characters > outside_body ? most_characters - outside_body : 1;
    };
    std::string tail = tail_of(rule, parts, Length::full);
    if (room_beside(tail) < least_body) tail = tail_of(rule, parts, Length::brief);
    if (room_beside(tail) < least_beside_brief) tail = tail_of(rule, parts, Length::mark);
    const std::size_t room = room_beside(tail);
    const auto fits = [room](const std::string& body) {
        return characters_in(body) <= room && body.size() <= most_bytes;
    };

    // The picture's own name gives way first: size and medium tell the shop more.
    NameParts shorter = parts;
    shorter.picture = without_picture_ending(parts.picture);
    std::string body = body_of(rule, shorter, ascii);
    while (!fits(body) && characters_in(shorter.picture) > 8) {
        shorter.picture = shortened(shorter.picture, characters_in(shorter.picture) - 1, shorter.picture.size());
        body = body_of(rule, shorter, ascii);
    }
    if (!fits(body)) body = trimmed(shortened(body, room, most_bytes));
    if (body.find_first_not_of(" ._-") == std::string::npos) body = shortened("print", room, most_bytes);
    return body + tail + std::string(extension);
}

}  // namespace hangtrue::plan
