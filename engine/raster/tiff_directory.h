// SPDX-License-Identifier: Apache-2.0
#pragma once

/// TIFF directories as bytes, for TIFF files and Exif blocks: least significant byte first. Thread-safe.

#include <bit>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <span>
#include <string_view>
#include <type_traits>
#include <vector>

namespace hangtrue::raster {

static_assert(std::endian::native == std::endian::little,
              "samples go into the file as they stand in memory, and the file is little-endian");

template <std::unsigned_integral T>
void append(std::vector<std::byte>& out, std::type_identity_t<T> value) {
    for (std::size_t i = 0; i < sizeof(T); ++i) out.push_back(static_cast<std::byte>(value >> (8 * i) & 0xffU));
}

inline void append_bytes(std::vector<std::byte>& out, std::span<const std::byte> bytes) {
    for (const std::byte byte : bytes) out.push_back(byte);
}

inline void append_text(std::vector<std::byte>& out, std::string_view text) {
    append_bytes(out, std::as_bytes(std::span(text)));
}

/// A fraction of two whole numbers, as TIFF and Exif keep resolutions.
struct Rational {
    std::uint32_t numerator = 0;
    std::uint32_t denominator = 1;
    friend bool operator==(const Rational&, const Rational&) = default;
};

/// The simplest fraction whose quotient is `value` to the last bit of a double, else the nearest convergent.
/// `value` is positive and below 2^32.
Rational as_rational(double value);

/// One tag of a TIFF or Exif directory: its type (TIFF 6.0, section 2) and its value's bytes.
struct DirectoryEntry {
    std::uint16_t tag = 0;
    std::uint16_t type = 0;
    std::uint64_t count = 0;
    std::vector<std::byte> value;
};

DirectoryEntry short_entry(std::uint16_t tag, std::initializer_list<std::uint16_t> values);
DirectoryEntry long_entry(std::uint16_t tag, std::uint32_t value);
DirectoryEntry text_entry(std::uint16_t tag, std::string_view text);
DirectoryEntry rational_entry(std::uint16_t tag, Rational value);

/// How wide a directory's numbers are.
enum class DirectoryForm { classic, big };

/// Header, one directory of `entries` (ascending tags), and the values that do not fit into an entry, each
/// at an even offset; the whole is of even length.
std::vector<std::byte> directory_bytes(const std::vector<DirectoryEntry>& entries, DirectoryForm form);

}  // namespace hangtrue::raster
