// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/metadata.h"

#include <charconv>
#include <cstdint>
#include <optional>
#include <vector>

namespace hangtrue::raster {
namespace {

using Bytes = std::span<const std::byte>;

std::string_view as_text(Bytes bytes) { return {reinterpret_cast<const char*>(bytes.data()), bytes.size()}; }

/// Length of the well-formed UTF-8 sequence (Unicode 15, table 3-7) at the start of `text`, 0 if there is none.
std::size_t utf8_sequence(std::string_view text) {
    const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<std::uint8_t>(text[i]) : 0U; };
    const auto follows = [&](std::size_t i) { return (byte(i) & 0xc0U) == 0x80U; };
    const unsigned lead = byte(0);
    if (lead < 0x80) return 1;
    if (lead >= 0xc2 && lead <= 0xdf) return follows(1) ? 2 : 0;
    if (lead >= 0xe0 && lead <= 0xef) {
        const bool second = follows(1) && !(lead == 0xe0 && byte(1) < 0xa0) && !(lead == 0xed && byte(1) > 0x9f);
        return second && follows(2) ? 3 : 0;
    }
    if (lead >= 0xf0 && lead <= 0xf4) {
        const bool second = follows(1) && !(lead == 0xf0 && byte(1) < 0x90) && !(lead == 0xf4 && byte(1) > 0x8f);
        return second && follows(2) && follows(3) ? 4 : 0;
    }
    return 0;
}

bool is_utf8(std::string_view text) {
    while (!text.empty()) {
        const std::size_t length = utf8_sequence(text);
        if (length == 0) return false;
        text.remove_prefix(length);
    }
    return true;
}

void append_utf8(std::string& text, std::uint32_t code) {
    const auto put = [&](std::uint32_t byte) { text.push_back(static_cast<char>(byte)); };
    if (code < 0x80) {
        put(code);
    } else if (code < 0x800) {
        put(0xc0U | code >> 6);
        put(0x80U | (code & 0x3fU));
    } else if (code < 0x10000) {
        put(0xe0U | code >> 12);
        put(0x80U | (code >> 6 & 0x3fU));
        put(0x80U | (code & 0x3fU));
    } else {
        put(0xf0U | code >> 18);
        put(0x80U | (code >> 12 & 0x3fU));
        put(0x80U | (code >> 6 & 0x3fU));
        put(0x80U | (code & 0x3fU));
    }
}

std::string trimmed(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\n";
    const std::size_t first = text.find_first_not_of(blanks);
    if (first == std::string_view::npos) return {};
    return std::string(text.substr(first, text.find_last_not_of(blanks) - first + 1));
}

/// Numbers in the byte order of a TIFF block; nothing beyond its end.
struct TiffBlock {
    Bytes bytes;
    bool big_endian = false;

    std::optional<std::uint32_t> number(std::size_t at, std::size_t length) const {
        if (at > bytes.size() || bytes.size() - at < length) return std::nullopt;
        std::uint32_t value = 0;
        for (std::size_t i = 0; i < length; ++i) {
            value = value << 8 | std::to_integer<std::uint32_t>(bytes[at + (big_endian ? i : length - 1 - i)]);
        }
        return value;
    }
};

constexpr std::size_t entry_bytes = 12;
constexpr std::uint32_t type_ascii = 2;
constexpr std::uint32_t type_short = 3;
constexpr std::uint32_t type_utf8 = 129;  // Exif 3.0

/// The text of the directory entry at `at`; empty where it points outside the block.
std::string_view entry_text(const TiffBlock& block, std::size_t at) {
    const std::uint32_t type = block.number(at + 2, 2).value_or(0);
    const std::size_t count = block.number(at + 4, 4).value_or(0);
    if (type != type_ascii && type != type_utf8) return {};
    const std::size_t from = count <= 4 ? at + 8 : block.number(at + 8, 4).value_or(0);
    if (from > block.bytes.size() || block.bytes.size() - from < count) return {};
    return as_text(block.bytes.subspan(from, count));
}

/// Tag 33432 holds "photographer NUL editor NUL"; a blank first part means that only the editor's is given.
std::string exif_copyright(std::string_view text) {
    const std::string photographer = tidy_text(text);
    const std::size_t end = text.find('\0');
    if (!photographer.empty() || end == std::string_view::npos) return photographer;
    return tidy_text(text.substr(end + 1));
}

/// `name` of "&name;", as text; the five that XML knows, and numbers.
std::string entity(std::string_view name) {
    if (name == "amp") return "&";
    if (name == "lt") return "<";
    if (name == "gt") return ">";
    if (name == "quot") return "\"";
    if (name == "apos") return "'";
    std::string text;
    if (name.size() > 1 && name.front() == '#') {
        const bool hexadecimal = name[1] == 'x' || name[1] == 'X';
        const std::string_view digits = name.substr(hexadecimal ? 2 : 1);
        std::uint32_t code = 0;
        const auto [end, status] =
            std::from_chars(digits.data(), digits.data() + digits.size(), code, hexadecimal ? 16 : 10);
        const bool is_code = status == std::errc{} && end == digits.data() + digits.size() && code > 0 &&
                             code <= 0x10ffff && (code < 0xd800 || code > 0xdfff);
        if (is_code) append_utf8(text, code);
    }
    return text;
}

std::string without_entities(std::string_view text) {
    std::string plain;
    for (std::size_t at = 0; at < text.size(); ++at) {
        const std::size_t end = text[at] == '&' ? text.find(';', at) : std::string_view::npos;
        constexpr std::size_t longest_entity = 10;  // "&#x10ffff;"
        if (end == std::string_view::npos || end - at >= longest_entity) {
            plain.push_back(text[at]);
        } else {
            plain += entity(text.substr(at + 1, end - at - 1));
            at = end;
        }
    }
    return plain;
}

/// One start tag and what it encloses, as far as the scan below needs XML.
struct Element {
    std::string_view tag;      ///< Between the angle brackets.
    std::string_view content;  ///< Up to the end tag; empty for <x/>.
    std::size_t end = 0;       ///< Where the search goes on.
};

std::optional<Element> next_element(std::string_view xml, std::string_view name, std::size_t from) {
    const std::string opening = std::string("<").append(name);
    const std::string closing = std::string("</").append(name).append(">");
    for (std::size_t at = xml.find(opening, from); at != std::string_view::npos; at = xml.find(opening, at + 1)) {
        const std::size_t after = at + opening.size();
        if (after >= xml.size() || std::string_view(" \t\r\n/>").find(xml[after]) == std::string_view::npos) continue;
        const std::size_t tag_end = xml.find('>', after);
        if (tag_end == std::string_view::npos) return std::nullopt;
        Element element{xml.substr(at + 1, tag_end - at - 1), {}, tag_end + 1};
        if (element.tag.back() == '/') return element;
        const std::size_t end = xml.find(closing, tag_end);
        if (end == std::string_view::npos) return std::nullopt;
        element.content = xml.substr(tag_end + 1, end - tag_end - 1);
        element.end = end + closing.size();
        return element;
    }
    return std::nullopt;
}

/// The items of an array property; a property without an array is its own single item.
std::vector<std::string> xmp_items(std::string_view packet, std::string_view property, bool default_language) {
    std::vector<std::string> items;
    const auto element = next_element(packet, property, 0);
    if (!element) return items;
    std::size_t at = 0;
    while (const auto item = next_element(element->content, "rdf:li", at)) {
        at = item->end;
        const std::string text = tidy_text(without_entities(item->content));
        if (text.empty()) continue;
        const bool is_default = item->tag.find("x-default") != std::string_view::npos;
        if (default_language && is_default) return {text};
        items.push_back(text);
    }
    if (items.empty() && element->content.find('<') == std::string_view::npos) {
        const std::string text = tidy_text(without_entities(element->content));
        if (!text.empty()) items.push_back(text);
    }
    return items;
}

}  // namespace

std::string tidy_text(std::string_view text) {
    text = text.substr(0, text.find('\0'));
    if (is_utf8(text)) return trimmed(text);
    std::string converted;
    for (const char letter : text) append_utf8(converted, static_cast<std::uint8_t>(letter));
    return trimmed(converted);
}

ExifFacts exif_facts(Bytes tiff) {
    ExifFacts facts;
    if (tiff.size() < 8) return facts;
    const TiffBlock block{tiff, as_text(tiff.first(2)) == "MM"};
    if (!block.big_endian && as_text(tiff.first(2)) != "II") return facts;
    if (block.number(2, 2) != 42U) return facts;
    const std::size_t directory = *block.number(4, 4);
    const std::uint32_t entries = block.number(directory, 2).value_or(0);
    for (std::uint32_t i = 0; i < entries; ++i) {
        const std::size_t at = directory + 2 + i * entry_bytes;
        const auto tag = block.number(at, 2);
        if (!tag || at + entry_bytes > tiff.size()) break;
        if (*tag == 274 && block.number(at + 2, 2) == type_short) {
            const std::uint32_t orientation = block.number(at + 8, 2).value_or(1);
            facts.orientation = orientation >= 1 && orientation <= 8 ? static_cast<int>(orientation) : 1;
        } else if (*tag == 315) {
            facts.credit.author = tidy_text(entry_text(block, at));
        } else if (*tag == 33432) {
            facts.credit.copyright = exif_copyright(entry_text(block, at));
        }
    }
    return facts;
}

Credit credit_from_xmp(std::string_view packet) {
    Credit credit;
    const auto rights = xmp_items(packet, "dc:rights", /*default_language=*/true);
    if (!rights.empty()) credit.copyright = rights.front();
    for (const std::string& creator : xmp_items(packet, "dc:creator", /*default_language=*/false)) {
        credit.author += (credit.author.empty() ? "" : ", ") + creator;
    }
    return credit;
}

Credit credit_from_iptc(Bytes datasets) {
    Credit credit;
    std::size_t at = 0;
    while (datasets.size() - at >= 5 && datasets[at] == std::byte{0x1c}) {
        const auto value = [&](std::size_t i) { return std::to_integer<std::size_t>(datasets[at + i]); };
        const std::size_t length = value(3) << 8 | value(4);
        if (length >= 0x8000 || datasets.size() - at - 5 < length) break;  // Extended sets carry no credits.
        const std::string text = tidy_text(as_text(datasets.subspan(at + 5, length)));
        if (value(1) == 2 && value(2) == 116 && credit.copyright.empty()) credit.copyright = text;
        if (value(1) == 2 && value(2) == 80 && !text.empty()) {
            credit.author += (credit.author.empty() ? "" : ", ") + text;
        }
        at += 5 + length;
    }
    return credit;
}

Bytes iptc_in_resources(Bytes resources) {
    // "8BIM", identifier (2), name (Pascal string, padded to even), length (4), data (padded to even).
    std::size_t at = 0;
    while (resources.size() - at >= 12 && as_text(resources.subspan(at, 4)) == "8BIM") {
        const auto value = [&](std::size_t i) { return std::to_integer<std::size_t>(resources[i]); };
        const std::size_t identifier = value(at + 4) << 8 | value(at + 5);
        const std::size_t name_bytes = (value(at + 6) + 2) & ~std::size_t{1};
        const std::size_t length_at = at + 6 + name_bytes;
        if (length_at > resources.size() || resources.size() - length_at < 4) break;
        const std::size_t length =
            value(length_at) << 24 | value(length_at + 1) << 16 | value(length_at + 2) << 8 | value(length_at + 3);
        if (resources.size() - length_at - 4 < length) break;
        if (identifier == 0x0404) return resources.subspan(length_at + 4, length);
        at = length_at + 4 + length + (length & 1U);
        if (at > resources.size()) break;
    }
    return {};
}

Credit first_of(const Credit& first, const Credit& second, const Credit& third) {
    const auto choose = [](const std::string& a, const std::string& b, const std::string& c) {
        return !a.empty() ? a : !b.empty() ? b : c;
    };
    return {choose(first.copyright, second.copyright, third.copyright),
            choose(first.author, second.author, third.author)};
}

}  // namespace hangtrue::raster
