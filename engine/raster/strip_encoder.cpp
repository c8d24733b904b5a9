// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/strip_encoder.h"

#include <zlib.h>

#include <array>
#include <cassert>
#include <cstring>
#include <new>

namespace hangtrue::raster {
namespace {

constexpr std::size_t channels = 3;
constexpr int deflate_level = 6;

/// Each sample less its left neighbour of the same channel, modulo 2^bits.
template <typename Sample>
void subtract_left(std::span<const std::byte> row, std::byte* out) {
    const std::size_t count = row.size() / sizeof(Sample);
    std::array<Sample, channels> left{};
    for (std::size_t i = 0; i < count; i += channels) {
        for (std::size_t c = 0; c < channels; ++c) {
            Sample value;
            std::memcpy(&value, row.data() + (i + c) * sizeof(Sample), sizeof(Sample));
            const auto difference = static_cast<Sample>(value - left[c]);
            std::memcpy(out + (i + c) * sizeof(Sample), &difference, sizeof(Sample));
            left[c] = value;
        }
    }
}

/// The strings known so far, found by (code of the string without its last byte, last byte).
class LzwTable {
  public:
    LzwTable() { clear(); }
    void clear() { m_slots.fill(0); }

    /// The code of the string, or 0 after having noted it under `new_code`.
    std::uint32_t found_or_added(std::uint32_t prefix, std::uint32_t byte, std::uint32_t new_code) {
        const std::uint32_t key = prefix << 8 | byte;
        std::uint32_t slot = key * 2654435761U >> (32 - bits);
        while (m_slots[slot] != 0) {
            if (m_slots[slot] >> 12 == key) return m_slots[slot] & 0xfffU;
            slot = (slot + 1) & (m_slots.size() - 1);
        }
        m_slots[slot] = key << 12 | new_code;
        return 0;
    }

  private:
    static constexpr int bits = 13;  // twice the 3836 strings there can be
    std::array<std::uint32_t, std::size_t{1} << bits> m_slots{};
};

/// Codes as bits, and the table's growth as the decoder will see it.
class LzwCodes {
  public:
    static constexpr std::uint32_t clear_code = 256;
    static constexpr std::uint32_t end_code = 257;
    static constexpr std::uint32_t first_free = 258;
    static constexpr std::uint32_t full = 4094;

    explicit LzwCodes(std::vector<std::byte>& out) : m_out(out) { put_clear(); }

    std::uint32_t next() const { return m_next; }

    /// Writes a string's code. True when the table was full and has been cleared.
    bool put_string(std::uint32_t code) {
        put(code);
        ++m_next;
        if (m_next == full) {
            put_clear();
            return true;
        }
        if (m_next == std::uint32_t{1} << m_width) ++m_width;
        return false;
    }

    void finish() {
        put(end_code);
        if (m_held > 0) m_out.push_back(static_cast<std::byte>(m_bits << (8 - m_held) & 0xffU));
    }

  private:
    void put_clear() {
        put(clear_code);
        m_next = first_free;
        m_width = 9;
    }

    void put(std::uint32_t code) {
        m_bits = m_bits << m_width | code;
        m_held += m_width;
        while (m_held >= 8) {
            m_held -= 8;
            m_out.push_back(static_cast<std::byte>(m_bits >> m_held & 0xffU));
        }
    }

    std::vector<std::byte>& m_out;
    std::uint32_t m_bits = 0;
    int m_held = 0;
    int m_width = 9;
    std::uint32_t m_next = first_free;
};

}  // namespace

std::vector<std::byte> lzw_encoded(std::span<const std::byte> bytes) {
    std::vector<std::byte> out;
    out.reserve(bytes.size());
    LzwTable table;
    LzwCodes codes(out);
    if (!bytes.empty()) {
        std::uint32_t string = std::to_integer<std::uint32_t>(bytes[0]);
        for (const std::byte next : bytes.subspan(1)) {
            const auto byte = std::to_integer<std::uint32_t>(next);
            const std::uint32_t longer = table.found_or_added(string, byte, codes.next());
            if (longer != 0) {
                string = longer;
                continue;
            }
            if (codes.put_string(string)) table.clear();
            string = byte;
        }
        codes.put_string(string);
    }
    codes.finish();
    return out;
}

std::vector<std::byte> deflate_encoded(std::span<const std::byte> bytes) {
    // zlib's Bytef is unsigned char, which may look at any object's bytes.
    std::vector<std::byte> out(compressBound(bytes.size()));
    uLongf size = out.size();
    const int status = compress2(reinterpret_cast<Bytef*>(out.data()), &size,
                                 reinterpret_cast<const Bytef*>(bytes.data()), bytes.size(), deflate_level);
    if (status != Z_OK) throw std::bad_alloc();  // the room suffices, so only memory can be short
    out.resize(size);
    return out;
}

std::vector<std::byte> encoded_rows(std::span<const std::byte> rows, std::size_t row_bytes, int bits,
                                    TiffCompression compression) {
    assert(row_bytes > 0 && rows.size() % row_bytes == 0);
    if (compression == TiffCompression::none) return {rows.begin(), rows.end()};
    std::vector<std::byte> differences(rows.size());
    for (std::size_t at = 0; at < rows.size(); at += row_bytes) {
        if (bits == 8) {
            subtract_left<std::uint8_t>(rows.subspan(at, row_bytes), differences.data() + at);
        } else {
            subtract_left<std::uint16_t>(rows.subspan(at, row_bytes), differences.data() + at);
        }
    }
    return compression == TiffCompression::lzw ? lzw_encoded(differences) : deflate_encoded(differences);
}

std::int64_t encoded_bytes_at_most(std::int64_t size, TiffCompression compression) {
    switch (compression) {
        case TiffCompression::none: return size;
        case TiffCompression::lzw: {
            // At worst each byte is a code of 12 bits; a clear code after every 3836 of them, one first,
            // one end.
            const std::int64_t codes = size + size / 3800 + 3;
            return (codes * 12 + 7) / 8;
        }
        case TiffCompression::deflate: return static_cast<std::int64_t>(compressBound(static_cast<uLong>(size)));
    }
    return size;
}

}  // namespace hangtrue::raster
