// SPDX-License-Identifier: Apache-2.0
/// Every kind of file that is read, in every orientation, gives exactly the samples that were put in.
#include <gtest/gtest.h>
#include <tiff.h>

#include <functional>

#include "engine/raster/row_reader.h"
#include "tests/raster/read_support.h"
#include "tests/support/pictures.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::noise;
using support::TestPicture;
using support::TiffWish;

/// A width that is no multiple of any tile or byte, and a height of several strips with a rest.
constexpr base::PixelSize odd_size{53, 41};

struct Kind {
    const char* name;
    int channels;
    int bits;
    std::function<void(const std::filesystem::path&, const TestPicture&, int orientation)> write;
    SampleModel model;
    bool near_only = false;  ///< Lossy: compared with the plain decode of the same file.
};

Kind tiff_kind(const char* name, int channels, int bits, TiffWish wish) {
    wish.photometric = channels == 1 ? PHOTOMETRIC_MINISBLACK : PHOTOMETRIC_RGB;
    return {name, channels, bits,
            [wish](const auto& file, const TestPicture& picture, int orientation) mutable {
                wish.orientation = orientation;
                support::write_tiff(file, picture, wish);
            },
            channels == 1 ? SampleModel::grey : SampleModel::rgb};
}

Kind png_kind(const char* name, int channels, int bits, bool interlaced) {
    return {name, channels, bits,
            [interlaced](const auto& file, const TestPicture& picture, int orientation) {
                support::write_png(file, picture, {.interlaced = interlaced, .orientation = orientation});
            },
            channels == 1 ? SampleModel::grey : SampleModel::rgb};
}

Kind jpeg_kind(const char* name, int channels, support::JpegWish wish) {
    return {name,
            channels,
            8,
            [wish](const auto& file, const TestPicture& picture, int orientation) mutable {
                wish.orientation = orientation;
                support::write_jpeg(file, picture, wish);
            },
            channels == 1 ? SampleModel::grey : SampleModel::rgb,
            true};
}

std::vector<Kind> all_kinds() {
    std::vector<Kind> kinds;
    for (const bool big_endian : {false, true}) {
        for (const int channels : {1, 3}) {
            for (const int bits : {8, 16}) {
                const char* name = big_endian ? "TIFF MM" : "TIFF II";
                kinds.push_back(tiff_kind(name, channels, bits, {.big_endian = big_endian}));
            }
        }
    }
    constexpr int one_strip = 1000;
    kinds.push_back(tiff_kind("TIFF one strip", 3, 16, {.rows_per_strip = one_strip}));
    kinds.push_back(tiff_kind("TIFF one row a strip", 3, 8, {.rows_per_strip = 1}));
    kinds.push_back(tiff_kind("TIFF LZW", 3, 8, {.compression = COMPRESSION_LZW}));
    kinds.push_back(tiff_kind("TIFF LZW predictor MM", 3, 16,
                              {.compression = COMPRESSION_LZW, .predictor = 2, .big_endian = true}));
    kinds.push_back(tiff_kind("TIFF LZW one strip", 3, 16,
                              {.compression = COMPRESSION_LZW, .predictor = 2, .rows_per_strip = one_strip}));
    kinds.push_back(tiff_kind("TIFF deflate", 3, 16, {.compression = COMPRESSION_ADOBE_DEFLATE}));
    kinds.push_back(tiff_kind("TIFF old deflate", 1, 8, {.compression = COMPRESSION_DEFLATE}));
    kinds.push_back(tiff_kind("TIFF PackBits", 3, 8, {.compression = COMPRESSION_PACKBITS}));
    kinds.push_back(tiff_kind("TIFF zstd", 3, 16, {.compression = COMPRESSION_ZSTD}));
    kinds.push_back(tiff_kind("TIFF tiled", 3, 16, {.tile_side = 16}));
    kinds.push_back(tiff_kind("TIFF large tile LZW", 3, 8, {.compression = COMPRESSION_LZW, .tile_side = 64}));
    kinds.push_back(tiff_kind("TIFF tiled grey MM", 1, 16, {.tile_side = 32, .big_endian = true}));
    kinds.push_back(tiff_kind("TIFF planes", 3, 8, {.separate_planes = true}));
    kinds.push_back(tiff_kind("TIFF planes LZW MM", 3, 16,
                              {.compression = COMPRESSION_LZW, .separate_planes = true, .big_endian = true}));
    kinds.push_back(tiff_kind("TIFF planes tiled", 3, 16, {.tile_side = 16, .separate_planes = true}));
    kinds.push_back(tiff_kind("BigTIFF", 3, 16, {.big_tiff = true}));
    kinds.push_back(tiff_kind("BigTIFF MM", 3, 8, {.big_endian = true, .big_tiff = true}));
    kinds.push_back(tiff_kind("TIFF reversed bits", 3, 8, {.reversed_bits = true}));
    for (const bool interlaced : {false, true}) {
        for (const int channels : {1, 3}) {
            for (const int bits : {8, 16}) {
                kinds.push_back(png_kind(interlaced ? "PNG interlaced" : "PNG", channels, bits, interlaced));
            }
        }
    }
    kinds.push_back(jpeg_kind("JPEG grey", 1, {}));
    kinds.push_back(jpeg_kind("JPEG 4:4:4", 3, {}));
    kinds.push_back(jpeg_kind("JPEG 4:2:0", 3, {.subsampled = true}));
    kinds.push_back(jpeg_kind("JPEG progressive", 3, {.progressive = true, .subsampled = true}));
    kinds.push_back(jpeg_kind("JPEG progressive grey", 1, {.progressive = true}));
    kinds.push_back(jpeg_kind("JPEG restarts", 3, {.restart_rows = 1}));
    return kinds;
}

TEST(raster_open_kinds, each_of_40_kinds_in_each_of_8_orientations_gives_the_upright_samples) {
    const support::TemporaryFolder folder;
    const std::vector<Kind> kinds = all_kinds();
    ASSERT_EQ(kinds.size(), 40U);
    for (const Kind& kind : kinds) {
        for (int orientation = 1; orientation <= 8; ++orientation) {
            SCOPED_TRACE(std::string(kind.name) + ", " + std::to_string(kind.channels) + " channels, " +
                         std::to_string(kind.bits) + " bits, orientation " + std::to_string(orientation));
            const auto file = folder.path() / "picture";
            TestPicture expected = noise(odd_size, kind.channels, kind.bits, 7);
            kind.write(file, support::stored_as(expected, orientation), orientation);
            if (kind.near_only) {
                // stored_as is its own inverse for all but the two true rotations, which are each other's.
                const int back = orientation == 6 ? 8 : orientation == 8 ? 6 : orientation;
                expected = support::stored_as(support::decoded_jpeg(file), back);
            }
            const auto reader = opened(file, folder);
            EXPECT_EQ(reader->info().size, odd_size);
            EXPECT_EQ(reader->info().orientation, orientation);
            EXPECT_EQ(reader->info().bits, kind.bits);
            EXPECT_EQ(reader->info().model, kind.model);
            EXPECT_EQ(reader->info().notes, "");
            EXPECT_EQ(picture_info(file).size, odd_size);
            ASSERT_TRUE(all_rows(*reader) == support::as_bytes(expected));
        }
    }
}

}  // namespace
}  // namespace hangtrue::raster
