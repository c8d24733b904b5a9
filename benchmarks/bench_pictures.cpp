// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/bench_pictures.h"

#include <png.h>
#include <tiffio.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <memory>
#include <stdexcept>
#include <string>

// jpeglib.h needs <cstdio> before it.
#include <jpeglib.h>

#include "engine/colour/profile.h"

namespace hangtrue::benchmarks {
namespace {

constexpr std::uint32_t seed = 20260314;

void require(bool done, const char* what) {
    if (!done) throw std::runtime_error(std::string("cannot write ") + what);
}

std::vector<std::uint8_t> profile_bytes() {
    const colour::Profile profile = colour::Profile::adobe_rgb();
    std::vector<std::uint8_t> bytes;
    for (const std::byte byte : profile.bytes()) bytes.push_back(std::to_integer<std::uint8_t>(byte));
    return bytes;
}

/// Rows of a picture as the bytes that a file of `bits` holds, in the machine's order.
class RowBytes {
  public:
    RowBytes(const BenchPicture& picture, int bits)
        : m_picture(picture), m_bits(bits), m_samples(static_cast<std::size_t>(picture.size().width) * 3) {}

    std::size_t size() const { return m_samples.size() * static_cast<std::size_t>(m_bits / 8); }
    void make(int y, std::uint8_t* out) {
        m_picture.make_row(y, m_samples);
        if (m_bits == 16) {
            const auto* bytes = reinterpret_cast<const std::uint8_t*>(m_samples.data());
            std::copy_n(bytes, size(), out);
        } else {
            for (const std::uint16_t sample : m_samples) *out++ = static_cast<std::uint8_t>(sample >> 8);
        }
    }

  private:
    const BenchPicture& m_picture;
    int m_bits;
    std::vector<std::uint16_t> m_samples;
};

struct CloseTiff {
    void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
struct CloseFile {
    void operator()(std::FILE* file) const { std::fclose(file); }
};
using OpenFile = std::unique_ptr<std::FILE, CloseFile>;

void write_tiles(TIFF* tiff, const BenchPicture& picture, int bits, int side) {
    RowBytes rows(picture, bits);
    const auto pixel = static_cast<std::size_t>(3 * bits / 8);
    const auto tile_row = static_cast<std::size_t>(side) * pixel;
    std::vector<std::uint8_t> band(rows.size() * static_cast<std::size_t>(side));
    std::vector<std::uint8_t> tile(tile_row * static_cast<std::size_t>(side));
    std::uint32_t number = 0;
    for (int top = 0; top < picture.size().height; top += side) {
        const int count = std::min(side, picture.size().height - top);
        for (int y = 0; y < count; ++y) rows.make(top + y, band.data() + static_cast<std::size_t>(y) * rows.size());
        for (std::size_t left = 0; left < rows.size(); left += tile_row) {
            const std::size_t width = std::min(tile_row, rows.size() - left);
            for (std::size_t y = 0; y < static_cast<std::size_t>(count); ++y) {
                std::copy_n(band.data() + y * rows.size() + left, width, tile.data() + y * tile_row);
            }
            const auto length = static_cast<tmsize_t>(tile.size());
            require(TIFFWriteEncodedTile(tiff, number++, tile.data(), length) == length, "a TIFF tile");
        }
    }
}

/// An Exif block with nothing but the orientation (Exif 2.32, 4.5.4; TIFF 6.0, section 2),
/// big-endian.
std::vector<std::uint8_t> exif_orientation(int orientation) {
    return {'E', 'x', 'i',  'f',  0, 0,                                                               // heading
            'M', 'M', 0,    42,   0, 0, 0, 8,                                                         // IFD0 at 8
            0,   1,   0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, static_cast<std::uint8_t>(orientation), 0, 0,  // one entry
            0,   0,   0,    0};                                                                       // no further IFD
}

[[noreturn]] void stop_jpeg(j_common_ptr) { throw std::runtime_error("cannot write a JPEG"); }
[[noreturn]] void stop_png(png_structp, png_const_charp) { throw std::runtime_error("cannot write a PNG"); }
void ignore_png(png_structp, png_const_charp) {}

}  // namespace

BenchPicture::BenchPicture(base::PixelSize size) : m_size(size) {
    for (int x = 0; x < size.width; ++x) {
        for (int channel = 0; channel < 3; ++channel) {
            m_fine.push_back(static_cast<float>(0.25 * std::sin(x * 0.11 * (1 + channel * 0.1))));
        }
        m_coarse_sine.push_back(static_cast<float>(0.15 * std::sin(x * 0.003)));
        m_coarse_cosine.push_back(static_cast<float>(0.15 * std::cos(x * 0.003)));
    }
}

void BenchPicture::make_row(int y, std::span<std::uint16_t> samples) const {
    const auto fine = static_cast<float>(std::cos(y * 0.07));
    const auto sine = static_cast<float>(std::sin(y * 0.006));
    const auto cosine = static_cast<float>(std::cos(y * 0.006));
    // A linear congruential generator (Numerical Recipes): enough for noise, and quick.
    std::uint32_t random = seed ^ (static_cast<std::uint32_t>(y) * 2654435761U);
    for (std::size_t i = 0; i < samples.size(); ++i) {
        random = random * 1664525U + 1013904223U;
        const float noise = (static_cast<float>(random >> 16) / 65535.0F - 0.5F) * 0.02F;
        const std::size_t x = i / 3;
        const float value = 0.5F + m_fine[i] * fine + m_coarse_sine[x] * cosine + m_coarse_cosine[x] * sine + noise;
        samples[i] = static_cast<std::uint16_t>(std::clamp(value, 0.0F, 1.0F) * 65535.0F);
    }
}

void write_tiff(const std::filesystem::path& file, const BenchPicture& picture, const TiffKind& kind) {
    const std::unique_ptr<TIFF, CloseTiff> tiff(TIFFOpen(file.c_str(), "w"));
    require(tiff != nullptr, "a TIFF");
    const auto put = [&](std::uint32_t tag, int value) { require(TIFFSetField(tiff.get(), tag, value) == 1, "a tag"); };
    put(TIFFTAG_IMAGEWIDTH, picture.size().width);
    put(TIFFTAG_IMAGELENGTH, picture.size().height);
    put(TIFFTAG_BITSPERSAMPLE, kind.bits);
    put(TIFFTAG_SAMPLESPERPIXEL, 3);
    put(TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_RGB);
    put(TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
    put(TIFFTAG_ORIENTATION, kind.orientation);
    put(TIFFTAG_COMPRESSION, kind.coding == TiffCoding::none  ? COMPRESSION_NONE
                             : kind.coding == TiffCoding::lzw ? COMPRESSION_LZW
                                                              : COMPRESSION_ADOBE_DEFLATE);
    if (kind.coding != TiffCoding::none) put(TIFFTAG_PREDICTOR, PREDICTOR_HORIZONTAL);
    if (kind.coding == TiffCoding::deflate) put(TIFFTAG_ZIPQUALITY, 1);  // The quickest: only its size differs.
    const std::vector<std::uint8_t> profile = profile_bytes();
    require(
        TIFFSetField(tiff.get(), TIFFTAG_ICCPROFILE, static_cast<std::uint32_t>(profile.size()), profile.data()) == 1,
        "a profile");
    if (kind.layout == TiffLayout::tiles) {
        constexpr int side = 256;
        put(TIFFTAG_TILEWIDTH, side);
        put(TIFFTAG_TILELENGTH, side);
        write_tiles(tiff.get(), picture, kind.bits, side);
        return;
    }
    put(TIFFTAG_ROWSPERSTRIP, kind.layout == TiffLayout::one_strip ? picture.size().height : 16);
    RowBytes rows(picture, kind.bits);
    std::vector<std::uint8_t> row(rows.size());
    for (int y = 0; y < picture.size().height; ++y) {
        rows.make(y, row.data());
        require(TIFFWriteScanline(tiff.get(), row.data(), static_cast<std::uint32_t>(y), 0) == 1, "a TIFF row");
    }
}

void write_jpeg(const std::filesystem::path& file, const BenchPicture& picture, const JpegKind& kind) {
    const OpenFile stream(std::fopen(file.c_str(), "wb"));
    require(stream != nullptr, "a JPEG");
    jpeg_compress_struct info{};
    jpeg_error_mgr errors{};
    info.err = jpeg_std_error(&errors);
    errors.error_exit = stop_jpeg;
    jpeg_create_compress(&info);
    jpeg_stdio_dest(&info, stream.get());
    info.image_width = static_cast<JDIMENSION>(picture.size().width);
    info.image_height = static_cast<JDIMENSION>(picture.size().height);
    info.input_components = 3;
    info.in_color_space = JCS_RGB;
    jpeg_set_defaults(&info);
    jpeg_set_quality(&info, 95, TRUE);
    if (!kind.subsampled) info.comp_info[0].h_samp_factor = info.comp_info[0].v_samp_factor = 1;
    if (kind.progressive) jpeg_simple_progression(&info);
    jpeg_start_compress(&info, TRUE);
    if (kind.orientation != 1) {
        const std::vector<std::uint8_t> exif = exif_orientation(kind.orientation);
        jpeg_write_marker(&info, JPEG_APP0 + 1, exif.data(), static_cast<unsigned>(exif.size()));
    }
    const std::vector<std::uint8_t> profile = profile_bytes();
    jpeg_write_icc_profile(&info, profile.data(), static_cast<unsigned>(profile.size()));
    RowBytes rows(picture, 8);
    std::vector<std::uint8_t> row(rows.size());
    for (int y = 0; y < picture.size().height; ++y) {
        rows.make(y, row.data());
        JSAMPROW samples = row.data();
        jpeg_write_scanlines(&info, &samples, 1);
    }
    jpeg_finish_compress(&info);
    jpeg_destroy_compress(&info);
}

void write_png(const std::filesystem::path& file, const BenchPicture& picture, const PngKind& kind) {
    const OpenFile stream(std::fopen(file.c_str(), "wb"));
    require(stream != nullptr, "a PNG");
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, stop_png, ignore_png);
    png_infop info = png_create_info_struct(png);
    png_init_io(png, stream.get());
    png_set_compression_level(png, 1);
    png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_SUB);
    png_set_IHDR(png, info, static_cast<png_uint_32>(picture.size().width),
                 static_cast<png_uint_32>(picture.size().height), kind.bits, PNG_COLOR_TYPE_RGB,
                 kind.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    const std::vector<std::uint8_t> profile = profile_bytes();
    png_set_iCCP(png, info, "profile", PNG_COMPRESSION_TYPE_BASE, profile.data(),
                 static_cast<png_uint_32>(profile.size()));
    png_write_info(png, info);
    if (kind.bits == 16) png_set_swap(png);
    const int passes = png_set_interlace_handling(png);
    RowBytes rows(picture, kind.bits);
    std::vector<std::uint8_t> row(rows.size());
    for (int pass = 0; pass < passes; ++pass) {
        for (int y = 0; y < picture.size().height; ++y) {
            rows.make(y, row.data());
            png_write_row(png, row.data());
        }
    }
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
}

}  // namespace hangtrue::benchmarks
