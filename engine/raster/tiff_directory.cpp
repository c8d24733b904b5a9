// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/tiff_directory.h"

#include <cassert>
#include <cmath>
#include <limits>

namespace hangtrue::raster {
namespace {

// Field types of TIFF 6.0, section 2.
constexpr std::uint16_t ascii = 2;
constexpr std::uint16_t short_type = 3;
constexpr std::uint16_t long_type = 4;
constexpr std::uint16_t rational = 5;

void append_offset(std::vector<std::byte>& out, DirectoryForm form, std::uint64_t value) {
    if (form == DirectoryForm::big) {
        append<std::uint64_t>(out, value);
    } else {
        append<std::uint32_t>(out, static_cast<std::uint32_t>(value));
    }
}

void pad_to(std::vector<std::byte>& out, std::size_t size) {
    while (out.size() < size) out.push_back(std::byte{0});
}

}  // namespace

Rational as_rational(double value) {
    assert(value > 0 && value < 4294967296.0);
    // Convergents of the continued fraction of `value`: each is the best fraction of its size.
    constexpr double most = std::numeric_limits<std::uint32_t>::max();
    double before_n = 1;
    double before_d = 0;
    double whole = std::floor(value);
    double n = whole;
    double d = 1;
    double rest = value - whole;
    while (n / d != value && rest > 0) {
        const double inverse = 1 / rest;
        whole = std::floor(inverse);
        const double next_n = whole * n + before_n;
        const double next_d = whole * d + before_d;
        if (next_n > most || next_d > most) break;
        before_n = n;
        before_d = d;
        n = next_n;
        d = next_d;
        rest = inverse - whole;
    }
    return {static_cast<std::uint32_t>(n), static_cast<std::uint32_t>(d)};
}

DirectoryEntry short_entry(std::uint16_t tag, std::initializer_list<std::uint16_t> values) {
    DirectoryEntry entry{tag, short_type, values.size(), {}};
    for (const std::uint16_t value : values) append<std::uint16_t>(entry.value, value);
    return entry;
}

DirectoryEntry long_entry(std::uint16_t tag, std::uint32_t value) {
    DirectoryEntry entry{tag, long_type, 1, {}};
    append<std::uint32_t>(entry.value, value);
    return entry;
}

DirectoryEntry text_entry(std::uint16_t tag, std::string_view text) {
    DirectoryEntry entry{tag, ascii, text.size() + 1, {}};
    append_text(entry.value, text);
    entry.value.push_back(std::byte{0});
    return entry;
}

DirectoryEntry rational_entry(std::uint16_t tag, Rational value) {
    DirectoryEntry entry{tag, rational, 1, {}};
    append<std::uint32_t>(entry.value, value.numerator);
    append<std::uint32_t>(entry.value, value.denominator);
    return entry;
}

std::vector<std::byte> directory_bytes(const std::vector<DirectoryEntry>& entries, DirectoryForm form) {
    const bool big = form == DirectoryForm::big;
    const std::size_t header_size = big ? 16 : 8;
    const std::size_t entry_size = big ? 20 : 12;
    const std::size_t room = big ? 8 : 4;  // for a value inside its entry
    const std::size_t values_at = header_size + (big ? 8 : 2) + entries.size() * entry_size + room;

    std::vector<std::byte> out;
    append_text(out, "II");
    append<std::uint16_t>(out, big ? 43 : 42);
    if (big) {
        append<std::uint16_t>(out, 8);
        append<std::uint16_t>(out, 0);
    }
    append_offset(out, form, header_size);
    if (big) {
        append<std::uint64_t>(out, entries.size());
    } else {
        append<std::uint16_t>(out, static_cast<std::uint16_t>(entries.size()));
    }
    std::vector<std::byte> values;
    for (const DirectoryEntry& entry : entries) {
        append<std::uint16_t>(out, entry.tag);
        append<std::uint16_t>(out, entry.type);
        append_offset(out, form, entry.count);
        if (entry.value.size() <= room) {
            const std::size_t end = out.size() + room;
            append_bytes(out, entry.value);
            pad_to(out, end);
        } else {
            append_offset(out, form, values_at + values.size());
            append_bytes(values, entry.value);
            pad_to(values, (values.size() + 1) & ~std::size_t{1});
        }
    }
    append_offset(out, form, 0);  // no further directory
    assert(out.size() == values_at);
    append_bytes(out, values);
    return out;
}

}  // namespace hangtrue::raster
