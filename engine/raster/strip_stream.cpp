// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/strip_stream.h"

#include <tiff.h>
// zlib then takes its input as const.
#define ZLIB_CONST
#include <zlib.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <new>
#include <utility>

namespace hangtrue::raster {
namespace {

constexpr std::int64_t piece_bytes = 1 << 18;

/// Whole bytes one by one, over the borders of pieces.
class ByteReader {
  public:
    explicit ByteReader(StripBytes bytes) : m_bytes(std::move(bytes)) {}

    std::uint32_t next() {
        if (m_at == m_piece.size()) {
            m_piece = m_bytes.next_piece();
            m_at = 0;
            if (m_piece.empty()) throw damage("a strip ends too early");
        }
        return std::to_integer<std::uint32_t>(m_piece[m_at++]);
    }
    /// Shifts in whole bytes until `bits` holds over 56 or the strip ends.
    void fill(std::uint64_t& bits, unsigned& count) {
        while (count <= 56) {
            if (m_at == m_piece.size()) {
                m_piece = m_bytes.next_piece();
                m_at = 0;
                if (m_piece.empty()) return;
            }
            bits = bits << 8 | std::to_integer<std::uint64_t>(m_piece[m_at++]);
            count += 8;
        }
    }
    base::UnreadableInput damage(const char* what) const { return damaged(m_bytes.file().name(), what); }

  private:
    StripBytes m_bytes;
    std::span<const std::byte> m_piece;
    std::size_t m_at = 0;
};

/// Codes of 9 to 12 bits, the first bit the highest of its byte; the width grows one code early, as all TIFF
/// writers do it since version 5.
class LzwStream final : public StripStream {
  public:
    explicit LzwStream(StripBytes bytes) : m_bytes(std::move(bytes)) {
        for (std::size_t i = 0; i < clear_code; ++i)
            m_strings[i] = {0, 1, static_cast<std::byte>(i), static_cast<std::byte>(i)};
    }

    void read(std::span<std::byte> out) override {
        while (!out.empty()) {
            if (m_pending.empty()) {
                const std::uint32_t code = next_string();
                const std::size_t length = m_strings[code].length;
                if (length <= out.size()) {
                    spell(code, out.first(length));
                    out = out.subspan(length);
                    continue;
                }
                m_pending = std::span(m_spelling).first(length);
                spell(code, std::span(m_spelling).first(length));
            }
            const std::size_t count = std::min(out.size(), m_pending.size());
            std::memcpy(out.data(), m_pending.data(), count);
            out = out.subspan(count);
            m_pending = m_pending.subspan(count);
        }
    }

  private:
    static constexpr std::uint32_t clear_code = 256;
    static constexpr std::uint32_t end_code = 257;
    static constexpr std::uint32_t first_free = 258;
    static constexpr std::uint32_t table_size = 4096;
    static constexpr std::uint32_t no_code = table_size;

    /// A string is the one before it and one byte more.
    struct String {
        std::uint16_t before;
        std::uint16_t length;
        std::byte first;
        std::byte last;
    };

    std::uint32_t next_code() {
        if (m_bit_count < m_width) {
            m_bytes.fill(m_bits, m_bit_count);
            if (m_bit_count < m_width) throw m_bytes.damage("a strip ends too early");
        }
        m_bit_count -= m_width;
        return static_cast<std::uint32_t>(m_bits >> m_bit_count) & ((1U << m_width) - 1);
    }

    /// The code of the next string, which is then in the table.
    std::uint32_t next_string() {
        std::uint32_t code = next_code();
        while (code == clear_code) {
            m_width = 9;
            m_free = first_free;
            m_previous = no_code;
            code = next_code();
        }
        if (code == end_code) throw m_bytes.damage("a strip ends too early");
        if (m_previous == no_code) {
            if (code >= clear_code) throw m_bytes.damage("a wrong LZW code");
        } else {
            if (code > m_free || (code == m_free && m_free == table_size)) throw m_bytes.damage("a wrong LZW code");
            add_string(code);
        }
        m_previous = code;
        return code;
    }

    /// The previous string and the first byte of this one, which may be the very string that is added.
    void add_string(std::uint32_t code) {
        if (m_free == table_size) return;
        const String& previous = m_strings[m_previous];
        const std::byte last = code == m_free ? previous.first : m_strings[code].first;
        m_strings[m_free++] = {static_cast<std::uint16_t>(m_previous), static_cast<std::uint16_t>(previous.length + 1),
                               previous.first, last};
        if (m_free == (1U << m_width) - 1 && m_width < 12) ++m_width;
    }

    void spell(std::uint32_t code, std::span<std::byte> out) const {
        for (std::size_t i = out.size(); i > 0; --i) {
            out[i - 1] = m_strings[code].last;
            code = m_strings[code].before;
        }
    }

    ByteReader m_bytes;
    std::uint64_t m_bits = 0;
    unsigned m_bit_count = 0;
    unsigned m_width = 9;
    std::uint32_t m_free = first_free;
    std::uint32_t m_previous = no_code;
    std::array<String, table_size> m_strings{};
    std::array<std::byte, table_size> m_spelling{};
    std::span<const std::byte> m_pending;
};

class DeflateStream final : public StripStream {
  public:
    explicit DeflateStream(StripBytes bytes) : m_bytes(std::move(bytes)) {
        if (inflateInit(&m_zlib) != Z_OK) throw std::bad_alloc();
    }
    ~DeflateStream() override { inflateEnd(&m_zlib); }
    DeflateStream(const DeflateStream&) = delete;
    DeflateStream& operator=(const DeflateStream&) = delete;

    void read(std::span<std::byte> out) override {
        m_zlib.next_out = reinterpret_cast<Bytef*>(out.data());
        m_zlib.avail_out = static_cast<uInt>(out.size());
        while (m_zlib.avail_out > 0) {
            if (m_zlib.avail_in == 0) {
                const auto piece = m_bytes.next_piece();
                if (piece.empty()) throw damaged(m_bytes.file().name(), "a strip ends too early");
                m_zlib.next_in = reinterpret_cast<const Bytef*>(piece.data());
                m_zlib.avail_in = static_cast<uInt>(piece.size());
            }
            const int status = inflate(&m_zlib, Z_NO_FLUSH);
            const bool is_short = status == Z_STREAM_END && m_zlib.avail_out > 0;
            if (is_short || (status != Z_OK && status != Z_STREAM_END && status != Z_BUF_ERROR)) {
                throw damaged(m_bytes.file().name(), "a strip's deflate data is wrong");
            }
        }
    }

  private:
    StripBytes m_bytes;
    z_stream m_zlib{};
};

class PackBitsStream final : public StripStream {
  public:
    explicit PackBitsStream(StripBytes bytes) : m_bytes(std::move(bytes)) {}

    void read(std::span<std::byte> out) override {
        while (!out.empty()) {
            while (m_count == 0) start_run();
            const std::size_t count = std::min(out.size(), m_count);
            for (std::byte& byte : out.first(count)) byte = m_repeats ? m_byte : static_cast<std::byte>(m_bytes.next());
            out = out.subspan(count);
            m_count -= count;
        }
    }

  private:
    void start_run() {
        const std::uint32_t head = m_bytes.next();
        if (head == 128) return;  // Does nothing, by the definition.
        m_repeats = head > 128;
        m_count = m_repeats ? 257 - head : head + 1;
        if (m_repeats) m_byte = static_cast<std::byte>(m_bytes.next());
    }

    ByteReader m_bytes;
    std::size_t m_count = 0;
    bool m_repeats = false;
    std::byte m_byte{};
};

template <typename Sample>
void sum_up(std::span<std::byte> row, std::size_t samples) {
    const std::size_t count = row.size() / sizeof(Sample);
    for (std::size_t i = samples; i < count; ++i) {
        Sample before = 0;
        Sample difference = 0;
        std::memcpy(&before, row.data() + (i - samples) * sizeof(Sample), sizeof(Sample));
        std::memcpy(&difference, row.data() + i * sizeof(Sample), sizeof(Sample));
        const auto sum = static_cast<Sample>(before + difference);
        std::memcpy(row.data() + i * sizeof(Sample), &sum, sizeof(Sample));
    }
}

}  // namespace

StripBytes::StripBytes(const PictureFile& file, std::int64_t offset, std::int64_t length)
    : m_file(&file), m_offset(offset), m_left(length) {}

std::span<const std::byte> StripBytes::next_piece() {
    m_piece.resize(static_cast<std::size_t>(std::min(m_left, piece_bytes)));
    m_file->read_at(m_piece, m_offset);
    m_offset += static_cast<std::int64_t>(m_piece.size());
    m_left -= static_cast<std::int64_t>(m_piece.size());
    return m_piece;
}

bool has_strip_stream(std::uint16_t compression) {
    return compression == COMPRESSION_LZW || compression == COMPRESSION_PACKBITS ||
           compression == COMPRESSION_DEFLATE || compression == COMPRESSION_ADOBE_DEFLATE;
}

std::unique_ptr<StripStream> strip_stream(std::uint16_t compression, StripBytes bytes) {
    if (compression == COMPRESSION_LZW) return std::make_unique<LzwStream>(std::move(bytes));
    if (compression == COMPRESSION_PACKBITS) return std::make_unique<PackBitsStream>(std::move(bytes));
    return std::make_unique<DeflateStream>(std::move(bytes));
}

void undo_differences(std::span<std::byte> row, int bits, int samples) {
    if (bits == 16) {
        sum_up<std::uint16_t>(row, static_cast<std::size_t>(samples));
    } else {
        sum_up<std::uint8_t>(row, static_cast<std::size_t>(samples));
    }
}

}  // namespace hangtrue::raster
