// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/jpeg_markers.h"

#include <algorithm>
#include <array>
#include <string_view>

#include "engine/raster/tiff_fields.h"

namespace hangtrue::raster {
namespace {

constexpr int app0 = 0xe0;
constexpr int exif_app1 = 0xe1;
constexpr int icc_app2 = 0xe2;
constexpr int baseline_frame = 0xc0;
constexpr int huffman_tables = 0xc4;
constexpr int quantisation_tables = 0xdb;
constexpr int scan = 0xda;

using Bytes = std::span<const std::byte>;

bool begins_with(Bytes bytes, std::string_view text) {
    return bytes.size() >= text.size() &&
           std::equal(text.begin(), text.end(), bytes.begin(),
                      [](char c, std::byte byte) { return static_cast<std::byte>(c) == byte; });
}

int byte_at(Bytes bytes, std::size_t at) { return std::to_integer<int>(bytes[at]); }
int big_endian_16(Bytes bytes, std::size_t at) { return byte_at(bytes, at) << 8 | byte_at(bytes, at + 1); }

/// The bytes of one segment as a source of their own.
class SegmentSource final : public ByteSource {
  public:
    SegmentSource(const ByteSource& file, Bytes bytes) : m_file(file), m_bytes(bytes) {}
    std::int64_t size() const override { return static_cast<std::int64_t>(m_bytes.size()); }
    std::int64_t position() const override { return m_position; }
    Bytes take(std::int64_t count) override {
        if (count < 0 || count > left()) throw wrong("it ends too early");
        const Bytes taken = m_bytes.subspan(static_cast<std::size_t>(m_position), static_cast<std::size_t>(count));
        m_position += count;
        return taken;
    }
    base::UnreadableInput wrong(const std::string& what) const override {
        return m_file.wrong("in its Exif block, " + what);
    }

  private:
    const ByteSource& m_file;
    Bytes m_bytes;
    std::int64_t m_position = 0;
};

/// JFIF 1.02, APP0: identifier, version 1.1, unit, density across and down, no small picture.
void read_jfif(const ByteSource& file, Bytes segment, FoundFile& found) {
    if (segment.size() != 14 || big_endian_16(segment, 5) != 0x0101 || byte_at(segment, 7) != 1 ||
        big_endian_16(segment, 8) != big_endian_16(segment, 10) || big_endian_16(segment, 8) == 0 ||
        big_endian_16(segment, 12) != 0) {
        throw file.wrong("its JFIF header does not say one ppi for both directions");
    }
    found.tags.ppi = {static_cast<double>(big_endian_16(segment, 8))};
}

void read_exif(const ByteSource& file, Bytes segment, FoundFile& found) {
    constexpr std::array ours{282, 283, 296, 315, 33432};
    SegmentSource block(file, segment.subspan(6));
    const auto order = block.take(2);
    if (byte_at(order, 0) != 'I' || byte_at(order, 1) != 'I') throw block.wrong("the header is that of no TIFF");
    Directory directory = read_directory(block);
    if (directory.big) throw block.wrong("the header is that of no TIFF");
    if (block.left() != 0) throw block.wrong("bytes stand behind the end");
    const Fields fields(block, std::move(directory.fields));
    fields.expect(296, 2);
    if (fields.fraction(282) != found.tags.ppi.value || fields.fraction(283) != found.tags.ppi.value) {
        throw block.wrong("the ppi differ from those of the JFIF header");
    }
    for (const int tag : {282, 283}) {
        if (number_at(fields.found(tag)->value, 4, 4) != 1) throw block.wrong("the ppi are no whole number");
    }
    found.tags.author = fields.text(315);
    found.tags.copyright = fields.text(33432);
    for (const int tag : fields.others(ours)) found.other_tags.push_back(tag);
}

struct Profile {
    int pieces = 0;
    int expected = 0;
};

void read_profile_piece(const ByteSource& file, Bytes segment, Profile& profile, FoundFile& found) {
    const int number = segment.size() > 14 ? byte_at(segment, 12) : 0;
    const int count = segment.size() > 14 ? byte_at(segment, 13) : 0;
    if (number != profile.pieces + 1 || count == 0 || number > count ||
        (profile.pieces > 0 && count != profile.expected)) {
        throw file.wrong("the pieces of its profile are out of order");
    }
    profile = {number, count};
    found.tags.icc_profile.insert(found.tags.icc_profile.end(), segment.begin() + 14, segment.end());
}

/// T.81, B.2.2: depth, height, width, and for each component its number, sampling and quantisation table.
void read_frame(const ByteSource& file, Bytes segment, FoundFile& found) {
    if (segment.size() != 15 || byte_at(segment, 0) != 8 || byte_at(segment, 5) != 3) {
        throw file.wrong("it has not three channels of 8 bit");
    }
    found.tags.size = {big_endian_16(segment, 3), big_endian_16(segment, 1)};
    if (found.tags.size.width == 0 || found.tags.size.height == 0) throw file.wrong("it claims a side of 0 pixels");
    for (std::size_t component = 0; component < 3; ++component) {
        // The numbers tell decoders which of the channels is which (JFIF 1.02).
        if (byte_at(segment, 6 + 3 * component) != static_cast<int>(component) + 1) {
            throw file.wrong("its channels are not numbered as JFIF has them");
        }
        if (byte_at(segment, 7 + 3 * component) != 0x11) found.subsampled = true;
    }
}

}  // namespace

std::vector<std::byte> read_jpeg_header(ByteSource& file, FoundFile& found) {
    std::vector<std::byte> header{std::byte{0xff}, std::byte{0xd8}};
    Profile profile;
    bool jfif = false;
    bool exif = false;
    bool frame = false;
    for (;;) {
        const Bytes start = file.take(4);
        header.insert(header.end(), start.begin(), start.end());
        const int marker = byte_at(start, 1);
        const int length = big_endian_16(start, 2);
        if (byte_at(start, 0) != 0xff || marker < 0xc0 || (marker >= 0xd0 && marker <= 0xd9) || length < 2) {
            throw file.wrong("its header is damaged");
        }
        const Bytes segment = file.take(length - 2);
        header.insert(header.end(), segment.begin(), segment.end());
        if (marker == app0 && !jfif && begins_with(segment, std::string_view("JFIF\0", 5))) {
            jfif = true;
            read_jfif(file, segment, found);
        } else if (!jfif) {
            throw file.wrong("it has no JFIF header, which says the ppi");
        } else if (marker == exif_app1 && !exif && begins_with(segment, std::string_view("Exif\0\0", 6))) {
            exif = true;
            read_exif(file, segment, found);
        } else if (marker == icc_app2 && begins_with(segment, std::string_view("ICC_PROFILE\0", 12))) {
            read_profile_piece(file, segment, profile, found);
        } else if (marker == baseline_frame && !frame) {
            frame = true;
            read_frame(file, segment, found);
        } else if (marker == scan) {
            if (!frame) throw file.wrong("its samples come before its size");
            if (profile.pieces != profile.expected) throw file.wrong("its profile is not whole");
            if (segment.empty() || byte_at(segment, 0) != 3) throw file.wrong("its channels are coded one by one");
            return header;
        } else if (marker > 0xc0 && marker <= 0xcf && marker != huffman_tables && marker != 0xc8 && marker != 0xcc) {
            throw file.wrong("it is not coded as a baseline JPEG");
        } else if (marker != huffman_tables && marker != quantisation_tables) {
            found.other_tags.push_back(marker);
        }
    }
}

}  // namespace hangtrue::raster
