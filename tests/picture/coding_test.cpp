// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

// jpeglib.h wants size_t and FILE declared before it.
#include <cstddef>
#include <cstdio>
#include <cstdlib>
// clang-format off
#include <jpeglib.h>
// clang-format on

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/picture/measure.h"
#include "tests/picture/pictures.h"
#include "tests/support/random.h"
#include "tests/support/sanitized.h"

namespace hangtrue {
namespace {

using test::Grey;

/// 8-bit RGB samples.
struct Rgb {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> codes;
};

/// Texture of three colours, with noise, away from black and white.
Rgb scene(int width, int height, double blur, double noise, std::uint64_t seed) {
    Rgb rgb{width, height, std::vector<std::uint8_t>(3 * static_cast<std::size_t>(width * height))};
    const Grey shared = test::blurred(test::leaves(width, height, seed), blur);
    const Grey own = test::blurred(test::leaves(width, height, seed + 1), blur);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        Grey grey = shared;  // Photographs' channels are much alike.
        const double part = 0.1 * static_cast<double>(channel);
        for (std::size_t i = 0; i < grey.values.size(); ++i)
            grey.values[i] = std::lerp(shared.values[i], own.values[i], part);
        test::add_noise(grey, noise, seed + 10 + channel);
        for (std::size_t i = 0; i < grey.values.size(); ++i)
            rgb.codes[3 * i + channel] = static_cast<std::uint8_t>(std::lround(std::clamp(grey.values[i], 1.0, 254.0)));
    }
    return rgb;
}

/// Through libjpeg and back, colour at half the size, as it does by default. `factor`: what its luminance table is on
/// ITU-T T.81's, as PictureInfo::jpeg_coding counts it.
Rgb coded(const Rgb& rgb, int quality, double& factor) {
    unsigned char* bytes = nullptr;
    unsigned long length = 0;
    jpeg_error_mgr errors{};
    jpeg_compress_struct coder{};
    coder.err = jpeg_std_error(&errors);
    jpeg_create_compress(&coder);
    jpeg_mem_dest(&coder, &bytes, &length);
    coder.image_width = static_cast<JDIMENSION>(rgb.width);
    coder.image_height = static_cast<JDIMENSION>(rgb.height);
    coder.input_components = 3;
    coder.in_color_space = JCS_RGB;
    jpeg_set_defaults(&coder);
    jpeg_set_quality(&coder, quality, TRUE);
    double sum = 0;
    for (const auto step : coder.quant_tbl_ptrs[0]->quantval) sum += step - 1.0;
    factor = sum / 3688;
    jpeg_start_compress(&coder, TRUE);
    const std::size_t row_bytes = 3 * static_cast<std::size_t>(rgb.width);
    std::vector<std::uint8_t> row(row_bytes);
    JSAMPROW rows[1] = {row.data()};
    for (std::size_t y = 0; y < static_cast<std::size_t>(rgb.height); ++y) {
        std::copy_n(rgb.codes.data() + y * row_bytes, row_bytes, row.data());
        jpeg_write_scanlines(&coder, rows, 1);
    }
    jpeg_finish_compress(&coder);
    jpeg_destroy_compress(&coder);

    jpeg_decompress_struct decoder{};
    decoder.err = jpeg_std_error(&errors);
    jpeg_create_decompress(&decoder);
    jpeg_mem_src(&decoder, bytes, length);
    jpeg_read_header(&decoder, TRUE);
    jpeg_start_decompress(&decoder);
    Rgb result = rgb;
    for (std::size_t y = 0; y < static_cast<std::size_t>(rgb.height); ++y) {
        jpeg_read_scanlines(&decoder, rows, 1);
        std::copy_n(row.data(), row_bytes, result.codes.data() + y * row_bytes);
    }
    jpeg_finish_decompress(&decoder);
    jpeg_destroy_decompress(&decoder);
    std::free(bytes);
    return result;
}

Rgb cut(const Rgb& rgb, int left, int top, int width, int height) {
    Rgb result{width, height, {}};
    for (int y = top; y < top + height; ++y) {
        const auto row = rgb.codes.begin() + 3 * (y * rgb.width + left);
        result.codes.insert(result.codes.end(), row, row + 3 * width);
    }
    return result;
}

/// What is found in the samples as those of a `bits`-bit picture.
double found(const Rgb& rgb, int bits = 8, raster::FileFormat format = raster::FileFormat::png) {
    raster::PictureInfo info;
    info.format = format;
    info.size = {rgb.width, rgb.height};
    info.bits = bits;
    std::vector<std::byte> samples;
    for (const std::uint8_t code : rgb.codes) {
        for (int byte = 0; byte < bits / 8; ++byte) samples.push_back(static_cast<std::byte>(code));  // Code x 257.
    }
    test::MemoryReader reader(info, std::move(samples));
    base::Progress progress;
    return picture::measured(reader, progress).jpeg_coding;
}

// A tenth: what is missing are steps of frequencies that are nought all over. Measured on these: 0 to 5 %.
TEST(picture_coding, of_pictures_through_libjpeg_is_found_within_a_tenth) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const support::Seeded seeded;
    for (const auto& [blur, noise] : {std::pair{0.0, 0.0}, {0.8, 0.0}, {0.0, 5.1}, {1.2, 7.65}}) {
        const Rgb whole = scene(256, 240, blur, noise, seeded.seed);
        for (const int quality : {75, 85, 90, 95}) {
            double factor = 0;
            const Rgb decoded = coded(whole, quality, factor);
            const std::string what =
                std::to_string(quality) + ", " + std::to_string(blur) + " px, " + std::to_string(noise);
            EXPECT_NEAR(found(decoded), factor, 0.1 * factor) << what;
            // Cut out anywhere, and in 16 bits.
            EXPECT_NEAR(found(cut(decoded, 3, 6, 200, 190)), factor, 0.1 * factor) << what;
            EXPECT_NEAR(found(decoded, 16), factor, 0.1 * factor) << what;
        }
    }
}

TEST(picture_coding, of_a_128_px_picture_is_found_within_a_fifth) {
    const support::Seeded seeded;
    const Rgb whole = scene(160, 160, 0.3, 1, seeded.seed);
    for (const int quality : {75, 85, 95}) {
        double factor = 0;
        const Rgb decoded = coded(whole, quality, factor);
        EXPECT_NEAR(found(cut(decoded, 5, 7, 128, 128)), factor, 0.2 * factor) << quality;
    }
}

TEST(picture_coding, is_none_where_nothing_was_coded) {
    const support::Seeded seeded;
    for (const auto& [blur, noise] : {std::pair{0.0, 0.0}, {0.8, 0.0}, {1.2, 0.0}, {0.0, 2.55}, {0.8, 7.65}}) {
        for (const int side : {64, 128, 240}) {
            Rgb rgb = scene(side, side, blur, noise, seeded.seed);
            EXPECT_EQ(found(rgb), 0) << side << ' ' << blur << ' ' << noise;
            // Codes with gaps, as after a stretched curve, lie on a comb of their own.
            for (std::uint8_t& code : rgb.codes) code = static_cast<std::uint8_t>(code / 4 * 4 + 1);
            EXPECT_EQ(found(rgb), 0) << side << ' ' << blur << ' ' << noise << ", stretched";
        }
    }
    EXPECT_EQ(found({100, 80, std::vector<std::uint8_t>(24'000, 90)}), 0);
    EXPECT_EQ(found({100, 80, std::vector<std::uint8_t>(24'000, 255)}), 0);
}

TEST(picture_coding, is_gone_once_a_decoded_picture_was_made_smaller) {
    const support::Seeded seeded;
    double factor = 0;
    const Rgb decoded = coded(scene(320, 320, 0, 0, seeded.seed), 75, factor);
    Rgb small{160, 160, {}};
    for (std::size_t y = 0; y < 160; ++y) {
        for (std::size_t x = 0; x < 160; ++x) {
            for (std::size_t c = 0; c < 3; ++c) {
                const std::size_t at = 3 * (2 * y * 320 + 2 * x) + c;
                small.codes.push_back(
                    static_cast<std::uint8_t>((decoded.codes[at] + decoded.codes[at + 3] + decoded.codes[at + 960] +
                                               decoded.codes[at + 963] + 2) /
                                              4));
            }
        }
    }
    EXPECT_EQ(found(small), 0);
}

TEST(picture_coding, is_not_looked_for_in_jpeg_files_which_say_it_themselves) {
    double factor = 0;
    const Rgb decoded = coded(scene(128, 128, 0, 0, 1), 75, factor);
    EXPECT_GT(found(decoded), 0);
    EXPECT_EQ(found(decoded, 8, raster::FileFormat::jpeg), 0);
}

}  // namespace
}  // namespace hangtrue
