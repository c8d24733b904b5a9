// SPDX-License-Identifier: Apache-2.0
#include "engine/report/words.h"

#include <algorithm>
#include <array>
#include <cstdint>

#include "engine/base/units_text.h"

namespace hangtrue::report {
namespace {

/// One code point from the front of `text`, which is not empty (Unicode 15, table 3-7). '?' for a stray byte.
char32_t take(std::string_view& text) {
    const auto byte_at = [&](std::size_t at) { return static_cast<std::uint8_t>(text[at]); };
    const std::uint8_t lead = byte_at(0);
    const std::size_t length = lead < 0x80                   ? 1
                               : lead >= 0xc2 && lead < 0xe0 ? 2
                               : (lead & 0xf0) == 0xe0       ? 3
                               : lead >= 0xf0 && lead < 0xf5 ? 4
                                                             : 0;
    char32_t point = U'?';
    std::size_t taken = 1;
    if (length == 1) {
        point = lead;
    } else if (length > 1 && length <= text.size()) {
        char32_t value = lead & (0x7fU >> length);
        bool is_whole = true;
        for (std::size_t i = 1; i < length; ++i) {
            is_whole = is_whole && (byte_at(i) & 0xc0) == 0x80;
            value = (value << 6) | (byte_at(i) & 0x3fU);
        }
        constexpr std::array<char32_t, 5> least = {0, 0, 0x80, 0x800, 0x10000};
        const bool is_surrogate = value >= 0xd800 && value < 0xe000;
        if (is_whole && value >= least.at(length) && value <= 0x10ffff && !is_surrogate) {
            point = value;
            taken = length;
        }
    }
    text.remove_prefix(taken);
    return point;
}

bool is_space(char32_t point) {
    return point <= 0x20 || (point >= 0x7f && point <= 0xa0) || point == 0x2028 || point == 0x2029;
}

}  // namespace

std::u32string one_line(std::string_view text) {
    std::u32string points;
    bool is_space_due = false;
    while (!text.empty()) {
        const char32_t point = take(text);
        if (is_space(point)) {
            is_space_due = !points.empty();
            continue;
        }
        if (is_space_due) points += U' ';
        is_space_due = false;
        points += point;
    }
    return points;
}

std::string utf8(std::u32string_view points) {
    std::string text;
    const auto put = [&](char32_t byte) { text += static_cast<char>(static_cast<std::uint8_t>(byte)); };
    for (const char32_t point : points) {
        if (point < 0x80) {
            put(point);
        } else if (point < 0x800) {
            put(0xc0 | point >> 6);
            put(0x80 | (point & 0x3f));
        } else if (point < 0x10000) {
            put(0xe0 | point >> 12);
            put(0x80 | (point >> 6 & 0x3f));
            put(0x80 | (point & 0x3f));
        } else {
            put(0xf0 | point >> 18);
            put(0x80 | (point >> 12 & 0x3f));
            put(0x80 | (point >> 6 & 0x3f));
            put(0x80 | (point & 0x3f));
        }
    }
    return text;
}

int character_count(std::string_view text) {
    int count = 0;
    while (!text.empty()) {
        take(text);
        ++count;
    }
    return count;
}

std::u32string shortened(std::u32string_view text, int most) {
    constexpr std::u32string_view dots = U"...";
    const auto room = static_cast<std::size_t>(std::max(most, 0));
    if (text.size() <= room) return std::u32string(text);
    if (room <= dots.size()) return std::u32string(dots.substr(0, room));
    const std::size_t kept = room - dots.size();
    if (text[kept] == U' ') return std::u32string(text.substr(0, kept)) += dots;
    const std::size_t space = text.substr(0, kept).rfind(U' ');
    if (space != std::u32string_view::npos && space > 0) return std::u32string(text.substr(0, space)) += dots;
    const std::size_t tail = kept / 3;
    return (std::u32string(text.substr(0, kept - tail)) += dots) += text.substr(text.size() - tail);
}

std::string date_words(std::string_view date) {
    constexpr std::array months = {"January", "February", "March",     "April",   "May",      "June",
                                   "July",    "August",   "September", "October", "November", "December"};
    const auto is_digit = [&](std::size_t at) { return date[at] >= '0' && date[at] <= '9'; };
    bool is_date = date.size() >= 10 && date[4] == '-' && date[7] == '-';
    for (const std::size_t at : {0, 1, 2, 3, 5, 6, 8, 9}) is_date = is_date && is_digit(at);
    if (!is_date) return std::string(date);
    const auto month = static_cast<std::size_t>((date[5] - '0') * 10 + date[6] - '0');
    if (month < 1 || month > months.size()) return std::string(date);
    const std::string_view day = date[8] == '0' ? date.substr(9, 1) : date.substr(8, 2);
    return std::string(day) + " " + months.at(month - 1) + " " + std::string(date.substr(0, 4));
}

std::string counted(long long count, std::string_view singular, std::string_view plural) {
    return base::count_text(count) + " " + std::string(count == 1 ? singular : plural);
}

}  // namespace hangtrue::report
