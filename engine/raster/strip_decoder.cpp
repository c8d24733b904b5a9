// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/strip_decoder.h"

#include <zlib.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <memory>
#include <new>

namespace hangtrue::raster {
namespace {

const char* const too_short = "is shorter than it should be";
const char* const too_long = "is longer than it should be";
const char* const damaged = "is damaged";

/// Codes of TIFF 6.0, section 13, taken from the bytes most significant bit first.
class CodeSource {
  public:
    explicit CodeSource(std::span<const std::byte> bytes) : m_bytes(bytes) {}

    unsigned take(int width) {
        while (m_held < width) {
            if (m_at == m_bytes.size()) throw StripDamaged(too_short);
            m_bits = m_bits << 8 | std::to_integer<std::uint32_t>(m_bytes[m_at++]);
            m_held += 8;
        }
        m_held -= width;
        return m_bits >> m_held & ((1U << width) - 1);
    }

    /// Nothing but the zero bits that fill the last byte may be left.
    void expect_end() const {
        if (m_at != m_bytes.size()) throw StripDamaged(too_long);
        if ((m_bits & ((1U << m_held) - 1)) != 0) throw StripDamaged(damaged);
    }

  private:
    std::span<const std::byte> m_bytes;
    std::size_t m_at = 0;
    std::uint32_t m_bits = 0;
    int m_held = 0;
};

/// A string of the table is a stretch of what has been decoded already: where it begins, and its length.
struct LzwString {
    std::size_t begin;
    std::size_t length;
};

void decode_lzw(std::span<const std::byte> strip, std::span<std::byte> out) {
    constexpr unsigned clear_code = 256;
    constexpr unsigned end_code = 257;
    constexpr unsigned first_string = 258;
    const auto strings = std::make_unique<std::array<LzwString, 4096>>();
    CodeSource codes(strip);
    std::size_t done = 0;
    if (codes.take(9) != clear_code) throw StripDamaged(damaged);
    unsigned known = first_string;
    int width = 9;
    bool after_clear = true;
    LzwString last{0, 0};
    for (;;) {
        const unsigned code = codes.take(width);
        if (code == end_code) break;
        if (code == clear_code) {
            if (after_clear) throw StripDamaged(damaged);
            known = first_string;
            width = 9;
            after_clear = true;
            continue;
        }
        // The new string is the last one and the byte that follows it, which is the next to be decoded.
        if (!after_clear) {
            if (known == strings->size()) throw StripDamaged(damaged);
            (*strings)[known++] = {last.begin, last.length + 1};
        }
        if (code >= known || (after_clear && code > 255)) throw StripDamaged(damaged);
        const std::size_t begin = done;
        if (code < 256) {
            if (done == out.size()) throw StripDamaged(too_long);
            out[done++] = static_cast<std::byte>(code);
        } else {
            const LzwString string = (*strings)[code];
            if (string.length > out.size() - done) throw StripDamaged(too_long);
            // The newest string overlaps what it produces by one byte: forwards, byte by byte.
            for (std::size_t i = 0; i < string.length; ++i) out[done + i] = out[string.begin + i];
            done += string.length;
        }
        last = {begin, done - begin};
        after_clear = false;
        // The writer is one string ahead of us and widens its codes when code 2^width - 1 is taken.
        if (known + 1 == 1U << width && width < 12) ++width;
    }
    if (done != out.size()) throw StripDamaged(too_short);
    codes.expect_end();
}

struct Inflater {
    z_stream stream{};
    Inflater() {
        if (inflateInit(&stream) != Z_OK) throw std::bad_alloc();
    }
    ~Inflater() { inflateEnd(&stream); }
    Inflater(const Inflater&) = delete;
    Inflater& operator=(const Inflater&) = delete;
};

/// zlib takes lengths of 32 bits only.
uInt at_most_4_gib(std::size_t size) { return static_cast<uInt>(std::min<std::size_t>(size, std::size_t{1} << 31)); }

/// At a border between blocks (RFC 1951, 3.2.3), zlib's `unused` bits of the byte before `next` not yet
/// looked at: the bits that fill up the last byte, and those between the header and the bytes of a stored
/// block, are looked at by nobody else.
bool fills_with_zeros(const Bytef* next, uInt available, unsigned unused, bool at_end) {
    const unsigned tail = unused == 0 ? 0 : next[-1] >> (8 - unused);
    if (at_end) return tail == 0;
    if (unused < 3 && available == 0) return true;  // cut short: inflate says so
    const unsigned bits = unused < 3 ? tail | static_cast<unsigned>(*next) << unused : tail;
    const bool is_stored = (bits >> 1 & 3) == 0;
    return !is_stored || bits >> 3 == 0;
}

void decode_deflate(std::span<const std::byte> strip, std::span<std::byte> out) {
    Inflater inflater;
    z_stream& stream = inflater.stream;
    // zlib does not write through next_in; its interface is older than const.
    stream.next_in = const_cast<Bytef*>(reinterpret_cast<const Bytef*>(strip.data()));
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    std::size_t in_left = strip.size();
    std::size_t out_left = out.size();
    int status = Z_OK;
    while (status != Z_STREAM_END) {
        const uInt in_given = at_most_4_gib(in_left);
        const uInt out_given = at_most_4_gib(out_left);
        stream.avail_in = in_given;
        stream.avail_out = out_given;
        status = inflate(&stream, Z_BLOCK);
        in_left -= in_given - stream.avail_in;
        out_left -= out_given - stream.avail_out;
        if (status == Z_BUF_ERROR) throw StripDamaged(in_left == 0 ? too_short : too_long);
        if (status == Z_MEM_ERROR) throw std::bad_alloc();
        if (status != Z_OK && status != Z_STREAM_END) throw StripDamaged(damaged);
        constexpr int in_last_block = 64;
        constexpr int at_block_end = 128;
        if (status == Z_OK && (stream.data_type & at_block_end) != 0 &&
            !fills_with_zeros(stream.next_in, stream.avail_in, static_cast<unsigned>(stream.data_type & 7),
                              (stream.data_type & in_last_block) != 0)) {
            throw StripDamaged(damaged);
        }
    }
    if (out_left != 0) throw StripDamaged(too_short);
    if (in_left != 0) throw StripDamaged(too_long);
}

/// Undoes the horizontal predictor: each sample is the sum of the differences up to it.
template <typename Sample>
void sum_up(std::span<std::byte> row) {
    constexpr std::size_t step = 3 * sizeof(Sample);
    for (std::size_t at = step; at < row.size(); at += sizeof(Sample)) {
        Sample before;
        Sample difference;
        std::memcpy(&before, row.data() + at - step, sizeof(Sample));
        std::memcpy(&difference, row.data() + at, sizeof(Sample));
        const auto sum = static_cast<Sample>(before + difference);
        std::memcpy(row.data() + at, &sum, sizeof(Sample));
    }
}

}  // namespace

void decode_strip(std::span<const std::byte> strip, TiffCompression compression, std::size_t row_bytes, int bits,
                  std::span<std::byte> out) {
    switch (compression) {
        case TiffCompression::none:
            if (strip.size() < out.size()) throw StripDamaged(too_short);
            if (strip.size() > out.size()) throw StripDamaged(too_long);
            std::copy(strip.begin(), strip.end(), out.begin());
            return;
        case TiffCompression::lzw: decode_lzw(strip, out); break;
        case TiffCompression::deflate: decode_deflate(strip, out); break;
    }
    for (std::size_t at = 0; at < out.size(); at += row_bytes) {
        if (bits == 8) {
            sum_up<std::uint8_t>(out.subspan(at, row_bytes));
        } else {
            sum_up<std::uint16_t>(out.subspan(at, row_bytes));
        }
    }
}

}  // namespace hangtrue::raster
