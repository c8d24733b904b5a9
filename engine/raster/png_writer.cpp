// SPDX-License-Identifier: Apache-2.0

// PNG (ISO/IEC 15948) by our own hand: four kinds of chunk, one filter, so that the same samples give the
// same bytes.

#include <zlib.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <new>
#include <string_view>

#include "engine/base/error.h"
#include "engine/raster/print_writer.h"

namespace hangtrue::raster {
namespace {

using Bytes = std::vector<std::byte>;

constexpr int deflate_level = 6;
constexpr std::size_t chunk_size = std::size_t{1} << 18;

const Bytef* as_bytef(const std::byte* bytes) { return reinterpret_cast<const Bytef*>(bytes); }

void append_32(Bytes& out, std::uint32_t value) {
    for (int shift = 24; shift >= 0; shift -= 8) out.push_back(static_cast<std::byte>(value >> shift & 0xffU));
}

void append_chars(Bytes& out, std::string_view text) {
    for (const char c : text) out.push_back(static_cast<std::byte>(c));
}

void write_chunk(base::OutputFile& file, std::string_view type, std::span<const std::byte> data) {
    Bytes chunk;
    chunk.reserve(data.size() + 12);
    append_32(chunk, static_cast<std::uint32_t>(data.size()));
    append_chars(chunk, type);
    chunk.insert(chunk.end(), data.begin(), data.end());
    // The check covers type and data (clause 5.3).
    append_32(chunk, static_cast<std::uint32_t>(
                         crc32(0, as_bytef(chunk.data() + 4), static_cast<uInt>(chunk.size() - 4))));
    file.write(chunk);
}

/// Deflates what it is given into IDAT chunks.
class ImageData {
  public:
    explicit ImageData(base::OutputFile& file) : m_file(file), m_out(chunk_size) {
        if (deflateInit(&m_stream, deflate_level) != Z_OK) throw std::bad_alloc();
        begin_chunk();
    }
    ~ImageData() { deflateEnd(&m_stream); }
    ImageData(const ImageData&) = delete;
    ImageData& operator=(const ImageData&) = delete;

    void add(std::span<std::byte> bytes) {
        m_stream.next_in = reinterpret_cast<Bytef*>(bytes.data());
        m_stream.avail_in = static_cast<uInt>(bytes.size());
        while (m_stream.avail_in > 0) {
            deflate(&m_stream, Z_NO_FLUSH);
            if (m_stream.avail_out == 0) end_chunk();
        }
    }

    void finish() {
        while (deflate(&m_stream, Z_FINISH) != Z_STREAM_END) end_chunk();
        end_chunk();
    }

  private:
    void begin_chunk() {
        m_stream.next_out = reinterpret_cast<Bytef*>(m_out.data());
        m_stream.avail_out = static_cast<uInt>(m_out.size());
    }
    void end_chunk() {
        const auto used = m_out.size() - m_stream.avail_out;
        if (used > 0) write_chunk(m_file, "IDAT", std::span(m_out).first(used));
        begin_chunk();
    }

    base::OutputFile& m_file;
    Bytes m_out;
    z_stream m_stream{};
};

/// "iCCP" (clause 11.3.3.3): a name, a zero, the method 0, the profile deflated.
Bytes profile_chunk(std::span<const std::byte> profile) {
    Bytes chunk;
    append_chars(chunk, "ICC profile");
    chunk.resize(chunk.size() + 2);
    const std::size_t begin = chunk.size();
    uLongf size = compressBound(profile.size());
    chunk.resize(begin + size);
    if (compress2(reinterpret_cast<Bytef*>(chunk.data() + begin), &size, as_bytef(profile.data()), profile.size(),
                  deflate_level) != Z_OK) {
        throw std::bad_alloc();
    }
    chunk.resize(begin + size);
    return chunk;
}

/// A row as the file has it: big-endian samples, each byte less the one of its left neighbour (filter 1,
/// "Sub").
void filter_row(std::span<const std::byte> row, int bits, std::size_t pixel_bytes, Bytes& scratch, Bytes& out) {
    scratch.assign(row.begin(), row.end());
    if (bits == 16) {
        for (std::size_t i = 0; i + 1 < scratch.size(); i += 2) std::swap(scratch[i], scratch[i + 1]);
    }
    out[0] = std::byte{1};
    for (std::size_t i = 0; i < scratch.size(); ++i) {
        const unsigned left = i < pixel_bytes ? 0 : std::to_integer<unsigned>(scratch[i - pixel_bytes]);
        out[i + 1] = static_cast<std::byte>((std::to_integer<unsigned>(scratch[i]) - left) & 0xffU);
    }
}

}  // namespace

void write_png(const std::filesystem::path& name, base::PixelSize size, int channels, int bits,
               std::span<const std::byte> samples, std::span<const std::byte> icc_profile,
               base::OutputFile::Existing existing, base::Faults& faults) {
    assert((channels == 1 || channels == 3) && (bits == 8 || bits == 16));
    const std::size_t pixel_bytes = static_cast<std::size_t>(channels * bits / 8);
    const std::size_t row_bytes = static_cast<std::size_t>(size.width) * pixel_bytes;
    assert(samples.size() == row_bytes * static_cast<std::size_t>(size.height));
    base::OutputFile file(name, existing, faults);
    constexpr std::array<unsigned char, 8> signature{0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};
    file.write(std::as_bytes(std::span(signature)));
    Bytes header;
    append_32(header, static_cast<std::uint32_t>(size.width));
    append_32(header, static_cast<std::uint32_t>(size.height));
    header.push_back(static_cast<std::byte>(bits));
    header.push_back(static_cast<std::byte>(channels == 3 ? 2 : 0));  // colour type
    header.resize(13);  // deflate, the five filters, not interlaced
    write_chunk(file, "IHDR", header);
    if (!icc_profile.empty()) write_chunk(file, "iCCP", profile_chunk(icc_profile));
    {
        ImageData data(file);
        Bytes scratch;
        Bytes filtered(row_bytes + 1);
        for (std::size_t at = 0; at < samples.size(); at += row_bytes) {
            filter_row(samples.subspan(at, row_bytes), bits, pixel_bytes, scratch, filtered);
            data.add(filtered);
        }
        data.finish();
    }
    write_chunk(file, "IEND", {});
    file.sync();
    file.name_it();
}

}  // namespace hangtrue::raster
