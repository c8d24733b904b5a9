// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Pictures made in code, and files of many kinds that hold them, written through libtiff, libjpeg and
/// libpng directly, so that what the engine reads does not come from the engine.
///
/// Errors end the test with std::runtime_error.

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::support {

/// Interleaved samples, in the range of `bits` (8 or 16), whatever the depth of a file made from them.
struct TestPicture {
    base::PixelSize size;
    int channels = 3;
    int bits = 8;
    std::vector<std::uint16_t> samples;

    std::uint16_t& at(int x, int y, int channel) { return samples[index(x, y, channel)]; }
    std::uint16_t at(int x, int y, int channel) const { return samples[index(x, y, channel)]; }
    std::size_t index(int x, int y, int channel) const {
        return (static_cast<std::size_t>(y) * static_cast<std::size_t>(size.width) + static_cast<std::size_t>(x)) *
                   static_cast<std::size_t>(channels) +
               static_cast<std::size_t>(channel);
    }
    std::uint16_t white() const { return bits == 8 ? 255 : 65535; }
    friend bool operator==(const TestPicture&, const TestPicture&) = default;
};

/// From black at the upper left to white at the lower right, each channel at another slope.
TestPicture gradient(base::PixelSize size, int channels, int bits);

/// A sine of `cycles_per_pixel` along x about mid grey, `amplitude` (0 to 1) of the half range, phase 0 at the
/// centre of pixel 0; the same in all channels.
TestPicture grating(base::PixelSize size, int channels, int bits, double cycles_per_pixel, double amplitude);

/// Every sample at random, evenly.
TestPicture noise(base::PixelSize size, int channels, int bits, std::uint64_t seed);

/// `picture` as a camera with `orientation` (1 to 8) would have stored it: TIFF 6.0, tag 274, read from the
/// definition ("the 0th row is the visual …"), pixel by pixel.
TestPicture stored_as(const TestPicture& picture, int orientation);

/// The samples as the engine hands them out: bytes, or 16-bit numbers in the machine's byte order.
std::vector<std::byte> as_bytes(const TestPicture& picture);

/// What is said besides the samples; empty: nothing.
struct TestMetadata {
    std::vector<std::byte> icc_profile{};
    std::string copyright{};  ///< TIFF tag, Exif, or PNG's eXIf chunk.
    std::string author{};
    std::string xmp{};              ///< A whole packet.
    std::vector<std::byte> iptc{};  ///< Datasets; in JPEG inside image resources.
};

struct TiffWish {
    std::uint16_t photometric = 2;  ///< libtiff's PHOTOMETRIC_…
    std::uint16_t compression = 1;  ///< libtiff's COMPRESSION_…
    std::uint16_t predictor = 1;    ///< 2: horizontal differences (LZW, deflate).
    int orientation = 1;
    int rows_per_strip = 16;
    int tile_side = 0;  ///< Over 0: tiled instead of strips; a multiple of 16.
    int file_bits = 0;  ///< 1, 2, 4: packed from the 8-bit samples' highest bits; 0: the picture's.
    bool separate_planes = false;
    bool big_endian = false;
    bool big_tiff = false;
    bool reversed_bits = false;  ///< FillOrder 2.
    bool extra_page = false;
    std::vector<std::uint16_t> extra_samples{};  ///< As EXTRASAMPLES; the picture then has those channels too.
    std::uint16_t sample_format = 1;
    std::vector<std::uint16_t> colour_map{};  ///< Palettes: all reds, all greens, all blues.
    TestMetadata metadata{};
};
void write_tiff(const std::filesystem::path& file, const TestPicture& picture, const TiffWish& wish);

struct JpegWish {
    int quality = 95;
    bool progressive = false;
    bool subsampled = false;  ///< 4:2:0
    bool cmyk = false;        ///< From four channels.
    bool arithmetic = false;
    int restart_rows = 0;
    int orientation = 1;
    TestMetadata metadata{};
};
void write_jpeg(const std::filesystem::path& file, const TestPicture& picture, const JpegWish& wish);

/// The file's samples as libjpeg's plain way decodes them (integer slow DCT).
TestPicture decoded_jpeg(const std::filesystem::path& file);

struct PngWish {
    bool interlaced = false;
    bool alpha = false;                                  ///< The last channel is alpha (2 or 4 channels).
    int file_bits = 0;                                   ///< As TiffWish's; grey and palettes only.
    std::vector<std::array<std::uint8_t, 3>> palette{};  ///< Not empty: the samples are indices into it.
    bool transparent_colour = false;                     ///< A tRNS chunk.
    int orientation = 1;
    TestMetadata metadata{};       ///< Copyright and author go into eXIf; iptc is left out.
    std::string text_copyright{};  ///< tEXt chunks.
    std::string text_author{};
};
void write_png(const std::filesystem::path& file, const TestPicture& picture, const PngWish& wish);

/// An Exif block with IFD0 alone, from "II*\0" on.
std::vector<std::byte> exif_block(int orientation, const std::string& copyright, const std::string& author);

/// IPTC datasets 2:116 and 2:80.
std::vector<std::byte> iptc_datasets(const std::string& copyright, const std::string& author);

/// An XMP packet with dc:rights and dc:creator; the texts are put in as they are, so escape them.
std::string xmp_packet(const std::string& rights, const std::string& creator);

/// Anything, for files that only must carry a profile: not a valid one. `length` bytes.
std::vector<std::byte> stand_in_profile(std::size_t length);

std::vector<std::byte> file_bytes(const std::filesystem::path& file);
void write_bytes(const std::filesystem::path& file, std::span<const std::byte> bytes);

}  // namespace hangtrue::support
