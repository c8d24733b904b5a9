// SPDX-License-Identifier: Apache-2.0
/// The file writers of pictures.h.
#include <png.h>
#include <tiffio.h>

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <memory>
#include <stdexcept>
#include <string_view>

// jpeglib.h needs <cstdio> before it.
#include <jpeglib.h>

#include "tests/support/pictures.h"

namespace hangtrue::support {
namespace {

using namespace std::string_view_literals;

/// 16-bit samples in order, or the highest `file_bits` of 8-bit ones packed from the left.
std::vector<std::uint8_t> packed_row(const std::vector<std::uint16_t>& samples, int bits, int file_bits) {
    std::vector<std::uint8_t> row;
    if (bits == 16) {
        row.resize(samples.size() * 2);
        std::memcpy(row.data(), samples.data(), row.size());
    } else if (file_bits == 8) {
        for (const std::uint16_t sample : samples) row.push_back(static_cast<std::uint8_t>(sample));
    } else {
        row.resize((samples.size() * static_cast<std::size_t>(file_bits) + 7) / 8);
        for (std::size_t i = 0; i < samples.size(); ++i) {
            const std::size_t bit = i * static_cast<std::size_t>(file_bits);
            const int value = samples[i] >> (8 - file_bits) << (8 - file_bits);
            row[bit / 8] = static_cast<std::uint8_t>(row[bit / 8] | value >> (bit % 8));
        }
    }
    return row;
}

/// Samples of row `y` from column `left`, `count` pixels; columns and rows beyond the picture repeat its last.
std::vector<std::uint16_t> samples_at(const TestPicture& picture, int y, int left, int count, int plane) {
    std::vector<std::uint16_t> samples;
    for (int x = left; x < left + count; ++x) {
        for (int channel = 0; channel < picture.channels; ++channel) {
            if (plane >= 0 && channel != plane) continue;
            samples.push_back(
                picture.at(std::min(x, picture.size.width - 1), std::min(y, picture.size.height - 1), channel));
        }
    }
    return samples;
}

void require(bool done, const char* what) {
    if (!done) throw std::runtime_error(what);
}

struct CloseTiff {
    void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};

void set_tags(TIFF* tiff, const TestPicture& picture, const TiffWish& wish, int file_bits) {
    const auto put = [&](std::uint32_t tag, auto value) { require(TIFFSetField(tiff, tag, value) == 1, "a TIFF tag"); };
    put(TIFFTAG_IMAGEWIDTH, picture.size.width);
    put(TIFFTAG_IMAGELENGTH, picture.size.height);
    put(TIFFTAG_BITSPERSAMPLE, file_bits);
    put(TIFFTAG_SAMPLESPERPIXEL, picture.channels);
    put(TIFFTAG_SAMPLEFORMAT, static_cast<int>(wish.sample_format));
    put(TIFFTAG_PHOTOMETRIC, static_cast<int>(wish.photometric));
    put(TIFFTAG_COMPRESSION, static_cast<int>(wish.compression));
    put(TIFFTAG_PLANARCONFIG, wish.separate_planes ? PLANARCONFIG_SEPARATE : PLANARCONFIG_CONTIG);
    put(TIFFTAG_ORIENTATION, wish.orientation);
    if (wish.reversed_bits) put(TIFFTAG_FILLORDER, FILLORDER_LSB2MSB);
    if (wish.predictor != 1) put(TIFFTAG_PREDICTOR, static_cast<int>(wish.predictor));
    if (wish.compression == COMPRESSION_JPEG && wish.photometric == PHOTOMETRIC_YCBCR) {
        put(TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
        put(TIFFTAG_JPEGQUALITY, 95);
    }
    if (!wish.extra_samples.empty()) {
        const int count = static_cast<int>(wish.extra_samples.size());
        require(TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, count, wish.extra_samples.data()) == 1, "extra samples");
    }
    if (!wish.colour_map.empty()) {
        const std::size_t third = wish.colour_map.size() / 3;
        const std::uint16_t* map = wish.colour_map.data();
        require(TIFFSetField(tiff, TIFFTAG_COLORMAP, map, map + third, map + 2 * third) == 1, "a palette");
    }
    if (wish.tile_side > 0) {
        put(TIFFTAG_TILEWIDTH, wish.tile_side);
        put(TIFFTAG_TILELENGTH, wish.tile_side);
    } else {
        put(TIFFTAG_ROWSPERSTRIP, wish.rows_per_strip);
    }
}

void set_metadata(TIFF* tiff, const TestMetadata& metadata) {
    const auto put_bytes = [&](std::uint32_t tag, std::size_t count, const void* bytes) {
        if (count == 0) return;
        require(TIFFSetField(tiff, tag, static_cast<std::uint32_t>(count), bytes) == 1, "a block of metadata");
    };
    put_bytes(TIFFTAG_ICCPROFILE, metadata.icc_profile.size(), metadata.icc_profile.data());
    put_bytes(TIFFTAG_XMLPACKET, metadata.xmp.size(), metadata.xmp.data());
    put_bytes(TIFFTAG_RICHTIFFIPTC, metadata.iptc.size(), metadata.iptc.data());
    if (!metadata.copyright.empty()) TIFFSetField(tiff, TIFFTAG_COPYRIGHT, metadata.copyright.c_str());
    if (!metadata.author.empty()) TIFFSetField(tiff, TIFFTAG_ARTIST, metadata.author.c_str());
}

void write_strips(TIFF* tiff, const TestPicture& picture, int rows_per_strip, int file_bits, int plane,
                  std::uint32_t& strip) {
    for (int top = 0; top < picture.size.height; top += rows_per_strip) {
        std::vector<std::uint8_t> bytes;
        for (int y = top; y < std::min(top + rows_per_strip, picture.size.height); ++y) {
            const auto row = packed_row(samples_at(picture, y, 0, picture.size.width, plane), picture.bits, file_bits);
            bytes.insert(bytes.end(), row.begin(), row.end());
        }
        const auto length = static_cast<tmsize_t>(bytes.size());
        require(TIFFWriteEncodedStrip(tiff, strip++, bytes.data(), length) == length, "a strip");
    }
}

void write_tiles(TIFF* tiff, const TestPicture& picture, int side, int file_bits, int plane, std::uint32_t& tile) {
    for (int top = 0; top < picture.size.height; top += side) {
        for (int left = 0; left < picture.size.width; left += side) {
            std::vector<std::uint8_t> bytes;
            for (int y = top; y < top + side; ++y) {
                const auto row = packed_row(samples_at(picture, y, left, side, plane), picture.bits, file_bits);
                bytes.insert(bytes.end(), row.begin(), row.end());
            }
            const auto length = static_cast<tmsize_t>(bytes.size());
            require(TIFFWriteEncodedTile(tiff, tile++, bytes.data(), length) == length, "a tile");
        }
    }
}

void write_page(TIFF* tiff, const TestPicture& picture, const TiffWish& wish) {
    const int file_bits = wish.file_bits > 0 ? wish.file_bits : picture.bits;
    set_tags(tiff, picture, wish, file_bits);
    set_metadata(tiff, wish.metadata);
    std::uint32_t number = 0;
    for (int plane = 0; plane < (wish.separate_planes ? picture.channels : 1); ++plane) {
        const int only = wish.separate_planes ? plane : -1;
        if (wish.tile_side > 0) {
            write_tiles(tiff, picture, wish.tile_side, file_bits, only, number);
        } else {
            write_strips(tiff, picture, wish.rows_per_strip, file_bits, only, number);
        }
    }
}

/// libjpeg's errors end a test program: it makes only what it was asked for.
[[noreturn]] void end_program(j_common_ptr info) {
    char message[JMSG_LENGTH_MAX];
    info->err->format_message(info, message);
    std::fprintf(stderr, "%s\n", message);
    std::abort();
}

void put_marker(jpeg_compress_struct& info, int number, std::string_view heading, std::span<const std::byte> bytes) {
    std::vector<JOCTET> content(heading.begin(), heading.end());
    for (const std::byte byte : bytes) content.push_back(std::to_integer<JOCTET>(byte));
    jpeg_write_marker(&info, JPEG_APP0 + number, content.data(), static_cast<unsigned>(content.size()));
}

/// IPTC as image resource 0x0404, as editors put it into JPEG files.
std::vector<std::byte> image_resources(std::span<const std::byte> iptc) {
    std::vector<std::byte> bytes;
    for (const char letter : "8BIM\x04\x04\0\0\0\0"sv) bytes.push_back(static_cast<std::byte>(letter));
    bytes.push_back(static_cast<std::byte>(iptc.size() >> 8));
    bytes.push_back(static_cast<std::byte>(iptc.size() & 0xff));
    bytes.insert(bytes.end(), iptc.begin(), iptc.end());
    return bytes;
}

void put_metadata(jpeg_compress_struct& info, const JpegWish& wish) {
    const TestMetadata& metadata = wish.metadata;
    if (wish.orientation != 1 || !metadata.copyright.empty() || !metadata.author.empty()) {
        put_marker(info, 1, "Exif\0\0"sv, exif_block(wish.orientation, metadata.copyright, metadata.author));
    }
    if (!metadata.xmp.empty()) {
        put_marker(info, 1, "http://ns.adobe.com/xap/1.0/\0"sv, std::as_bytes(std::span(metadata.xmp)));
    }
    if (!metadata.iptc.empty()) put_marker(info, 13, "Photoshop 3.0\0"sv, image_resources(metadata.iptc));
    if (!metadata.icc_profile.empty()) {
        const auto* profile = reinterpret_cast<const JOCTET*>(metadata.icc_profile.data());
        jpeg_write_icc_profile(&info, profile, static_cast<unsigned>(metadata.icc_profile.size()));
    }
}

struct CloseFile {
    void operator()(std::FILE* file) const { std::fclose(file); }
};
using OpenFile = std::unique_ptr<std::FILE, CloseFile>;

OpenFile opened(const std::filesystem::path& name, const char* mode) {
    OpenFile file(std::fopen(name.c_str(), mode));
    require(file != nullptr, "a file for a test picture");
    return file;
}

[[noreturn]] void end_png(png_structp, png_const_charp message) {
    std::fprintf(stderr, "%s\n", message);
    std::abort();
}
void ignore_png(png_structp, png_const_charp) {}

void put_chunks(png_structp png, png_infop info, const PngWish& wish) {
    const TestMetadata& metadata = wish.metadata;
    if (!metadata.icc_profile.empty()) {
        const auto* profile = reinterpret_cast<png_const_bytep>(metadata.icc_profile.data());
        png_set_iCCP(png, info, "profile", PNG_COMPRESSION_TYPE_BASE, profile,
                     static_cast<png_uint_32>(metadata.icc_profile.size()));
    }
    if (wish.orientation != 1 || !metadata.copyright.empty() || !metadata.author.empty()) {
        std::vector<std::byte> exif = exif_block(wish.orientation, metadata.copyright, metadata.author);
        png_set_eXIf_1(png, info, static_cast<png_uint_32>(exif.size()), reinterpret_cast<png_bytep>(exif.data()));
    }
    const auto put_text = [&](int compression, std::string key, std::string text) {
        if (text.empty()) return;
        std::string language;
        png_text entry{};
        entry.compression = compression;
        entry.key = key.data();
        entry.text = text.data();
        entry.text_length = text.size();
        entry.lang = language.data();
        entry.lang_key = language.data();
        png_set_text(png, info, &entry, 1);
    };
    put_text(PNG_TEXT_COMPRESSION_NONE, "Copyright", wish.text_copyright);
    put_text(PNG_TEXT_COMPRESSION_NONE, "Author", wish.text_author);
    put_text(PNG_ITXT_COMPRESSION_NONE, "XML:com.adobe.xmp", metadata.xmp);
}

int png_colour_type(const TestPicture& picture, const PngWish& wish) {
    if (!wish.palette.empty()) return PNG_COLOR_TYPE_PALETTE;
    const bool grey = picture.channels <= 2;
    if (wish.alpha) return grey ? PNG_COLOR_TYPE_GRAY_ALPHA : PNG_COLOR_TYPE_RGB_ALPHA;
    return grey ? PNG_COLOR_TYPE_GRAY : PNG_COLOR_TYPE_RGB;
}

}  // namespace

void write_tiff(const std::filesystem::path& file, const TestPicture& picture, const TiffWish& wish) {
    std::filesystem::remove(file);
    TIFFSetWarningHandler(nullptr);  // Test files are odd on purpose.
    const std::string mode = std::string("w") + (wish.big_endian ? "b" : "l") + (wish.big_tiff ? "8" : "");
    const std::unique_ptr<TIFF, CloseTiff> tiff(TIFFOpen(file.c_str(), mode.c_str()));
    require(tiff != nullptr, "a TIFF");
    write_page(tiff.get(), picture, wish);
    if (wish.extra_page) {
        require(TIFFWriteDirectory(tiff.get()) == 1, "a directory");
        write_page(tiff.get(), picture, wish);
    }
}

void write_jpeg(const std::filesystem::path& file, const TestPicture& picture, const JpegWish& wish) {
    std::filesystem::remove(file);
    const OpenFile stream = opened(file, "wb");
    jpeg_compress_struct info{};
    jpeg_error_mgr errors{};
    info.err = jpeg_std_error(&errors);
    errors.error_exit = end_program;
    jpeg_create_compress(&info);
    jpeg_stdio_dest(&info, stream.get());
    info.image_width = static_cast<JDIMENSION>(picture.size.width);
    info.image_height = static_cast<JDIMENSION>(picture.size.height);
    info.input_components = picture.channels;
    info.in_color_space = wish.cmyk ? JCS_CMYK : picture.channels == 1 ? JCS_GRAYSCALE : JCS_RGB;
    jpeg_set_defaults(&info);
    jpeg_set_quality(&info, wish.quality, TRUE);
    if (!wish.subsampled) info.comp_info[0].h_samp_factor = info.comp_info[0].v_samp_factor = 1;
    if (wish.progressive) jpeg_simple_progression(&info);
    info.arith_code = wish.arithmetic ? TRUE : FALSE;
    info.restart_in_rows = wish.restart_rows;
    info.dct_method = JDCT_ISLOW;
    jpeg_start_compress(&info, TRUE);
    put_metadata(info, wish);
    for (int y = 0; y < picture.size.height; ++y) {
        auto row = packed_row(samples_at(picture, y, 0, picture.size.width, -1), 8, 8);
        JSAMPROW samples = row.data();
        jpeg_write_scanlines(&info, &samples, 1);
    }
    jpeg_finish_compress(&info);
    jpeg_destroy_compress(&info);
}

TestPicture decoded_jpeg(const std::filesystem::path& file) {
    const OpenFile stream = opened(file, "rb");
    jpeg_decompress_struct info{};
    jpeg_error_mgr errors{};
    info.err = jpeg_std_error(&errors);
    errors.error_exit = end_program;
    jpeg_create_decompress(&info);
    jpeg_stdio_src(&info, stream.get());
    jpeg_read_header(&info, TRUE);
    info.dct_method = JDCT_ISLOW;
    jpeg_start_decompress(&info);
    TestPicture picture{
        {static_cast<int>(info.output_width), static_cast<int>(info.output_height)}, info.output_components, 8, {}};
    std::vector<std::uint8_t> row(info.output_width * static_cast<unsigned>(info.output_components));
    while (info.output_scanline < info.output_height) {
        JSAMPROW samples = row.data();
        jpeg_read_scanlines(&info, &samples, 1);
        picture.samples.insert(picture.samples.end(), row.begin(), row.end());
    }
    jpeg_finish_decompress(&info);
    jpeg_destroy_decompress(&info);
    return picture;
}

void write_png(const std::filesystem::path& file, const TestPicture& picture, const PngWish& wish) {
    std::filesystem::remove(file);
    const OpenFile stream = opened(file, "wb");
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, end_png, ignore_png);
    png_infop info = png_create_info_struct(png);
    png_init_io(png, stream.get());
    png_set_benign_errors(png, 1);
    const int file_bits = wish.file_bits > 0 ? wish.file_bits : picture.bits;
    png_set_IHDR(png, info, static_cast<png_uint_32>(picture.size.width), static_cast<png_uint_32>(picture.size.height),
                 file_bits, png_colour_type(picture, wish), wish.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    std::vector<png_color> palette;
    for (const auto& entry : wish.palette) palette.push_back({entry[0], entry[1], entry[2]});
    if (!palette.empty()) png_set_PLTE(png, info, palette.data(), static_cast<int>(palette.size()));
    if (wish.transparent_colour) {
        const png_color_16 colour{};
        png_set_tRNS(png, info, nullptr, 0, &colour);
    }
    put_chunks(png, info, wish);
    png_write_info(png, info);
    if (picture.bits == 16) png_set_swap(png);
    std::vector<std::vector<std::uint8_t>> rows;
    std::vector<png_bytep> pointers;
    for (int y = 0; y < picture.size.height; ++y) {
        rows.push_back(packed_row(samples_at(picture, y, 0, picture.size.width, -1), picture.bits, file_bits));
    }
    for (auto& row : rows) pointers.push_back(row.data());
    png_write_image(png, pointers.data());
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
}

}  // namespace hangtrue::support
