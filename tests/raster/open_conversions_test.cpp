// SPDX-License-Identifier: Apache-2.0
/// Kinds that are converted on reading, what is said of it, and what is refused.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <tiff.h>

#include <cstring>

#include "tests/raster/read_support.h"
#include "tests/support/pictures.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::TestPicture;
using support::TiffWish;
using testing::ElementsAre;
using testing::HasSubstr;

std::vector<int> numbers(const std::vector<std::byte>& bytes, int bits) {
    std::vector<int> values;
    for (std::size_t i = 0; i < bytes.size(); i += static_cast<std::size_t>(bits / 8)) {
        std::uint16_t value = 0;
        if (bits == 16) {
            std::memcpy(&value, bytes.data() + i, 2);
        } else {
            value = std::to_integer<std::uint8_t>(bytes[i]);
        }
        values.push_back(value);
    }
    return values;
}

class raster_open_conversions : public testing::Test {
  protected:
    std::unique_ptr<RowReader> tiff(const TestPicture& picture, const TiffWish& wish) {
        support::write_tiff(m_file, picture, wish);
        return opened(m_file, m_folder);
    }
    std::vector<int> tiff_values(const TestPicture& picture, const TiffWish& wish) {
        const auto reader = tiff(picture, wish);
        return numbers(all_rows(*reader), reader->info().bits);
    }
    std::string tiff_refusal(const TestPicture& picture, const TiffWish& wish) {
        support::write_tiff(m_file, picture, wish);
        return what_is_wrong(m_file, m_folder);
    }
    support::TemporaryFolder m_folder;
    std::filesystem::path m_file = m_folder.path() / "picture.tif";
};

TEST_F(raster_open_conversions, white_is_zero_is_inverted_in_8_and_16_bits) {
    EXPECT_THAT(tiff_values({{3, 1}, 1, 8, {0, 1, 255}}, {.photometric = PHOTOMETRIC_MINISWHITE}),
                ElementsAre(255, 254, 0));
    EXPECT_THAT(tiff_values({{3, 1}, 1, 16, {0, 1, 65535}}, {.photometric = PHOTOMETRIC_MINISWHITE}),
                ElementsAre(65535, 65534, 0));
}

TEST_F(raster_open_conversions, one_two_and_four_bits_become_8_bit_grey_with_white_at_255) {
    const TestPicture picture{{9, 1}, 1, 8, {0, 255, 0, 255, 255, 0, 0, 0, 255}};
    for (const int bits : {1, 2, 4}) {
        const auto reader = tiff(picture, {.photometric = PHOTOMETRIC_MINISBLACK, .file_bits = bits});
        EXPECT_EQ(reader->info().model, SampleModel::grey);
        EXPECT_EQ(reader->info().bits, 8);
        EXPECT_EQ(reader->info().notes, std::to_string(bits) + "-bit picture, read as 8-bit grey");
        EXPECT_TRUE(all_rows(*reader) == support::as_bytes(picture)) << bits;
    }
    // The four grey levels of two bits: thirds of white.
    EXPECT_THAT(tiff_values({{4, 1}, 1, 8, {0, 64, 128, 192}}, {.photometric = PHOTOMETRIC_MINISBLACK, .file_bits = 2}),
                ElementsAre(0, 85, 170, 255));
    EXPECT_THAT(tiff_values({{4, 1}, 1, 8, {0, 64, 128, 192}}, {.photometric = PHOTOMETRIC_MINISWHITE, .file_bits = 2}),
                ElementsAre(255, 170, 85, 0));
}

TEST_F(raster_open_conversions, a_fax_page_of_one_bit_is_read) {
    TestPicture picture = support::noise({61, 40}, 1, 8, 4);
    for (std::uint16_t& sample : picture.samples) sample = sample > 127 ? 255 : 0;
    const auto reader =
        tiff(picture, {.photometric = PHOTOMETRIC_MINISBLACK, .compression = COMPRESSION_CCITTFAX4, .file_bits = 1});
    EXPECT_TRUE(all_rows(*reader) == support::as_bytes(picture));
}

TEST_F(raster_open_conversions, palettes_become_rgb_of_the_depth_that_their_entries_need) {
    TiffWish wish{.photometric = PHOTOMETRIC_PALETTE};
    wish.colour_map.assign(768, 0);
    wish.colour_map[1] = 65535;         // Entry 1: red 65535,
    wish.colour_map[256 + 1] = 257;     // green 257 (8-bit 1),
    wish.colour_map[512 + 1] = 0x8000;  // blue 0x8000 (8-bit 128).
    const TestPicture picture{{2, 1}, 1, 8, {0, 1}};
    const auto reader = tiff(picture, wish);
    EXPECT_EQ(reader->info().notes, "palette picture, read as 8-bit RGB");
    EXPECT_THAT(numbers(all_rows(*reader), 8), ElementsAre(0, 0, 0, 255, 1, 128));
    wish.colour_map[512 + 1] = 0x8001;  // Which 8 bits cannot hold.
    EXPECT_THAT(tiff_values(picture, wish), ElementsAre(0, 0, 0, 65535, 257, 0x8001));
}

// TIFF 6.0 section 23: L 0 to 255 for 0 to 100, a and b signed. ICC.1:2010 table 12: a and b plus 128.
TEST_F(raster_open_conversions, lab_of_8_bits_becomes_icc_lab8) {
    const TestPicture picture{{3, 1}, 3, 8, {255, 0, 0, 128, 127, 0x80, 0, 0xff, 1}};
    const auto reader = tiff(picture, {.photometric = PHOTOMETRIC_CIELAB});
    EXPECT_EQ(reader->info().model, SampleModel::lab);
    EXPECT_THAT(numbers(all_rows(*reader), 8), ElementsAre(255, 128, 128, 128, 255, 0, 0, 127, 129));
}

// ICC.1:2010: v4 codes are L * 655.35 and (a + 128) * 257; a = 0 is 0x8080.
TEST_F(raster_open_conversions, lab_of_16_bits_becomes_icc_version_4_lab16) {
    const TestPicture cielab{{2, 1}, 3, 16, {65535, 0, 256 * 127, 32768, 0x8000, static_cast<std::uint16_t>(-256)}};
    EXPECT_THAT(tiff_values(cielab, {.photometric = PHOTOMETRIC_CIELAB}),
                ElementsAre(65535, 0x8080, 65535, 32768, 0, 127 * 257));
    const TestPicture icclab{{2, 1}, 3, 16, {0xff00, 0x8000, 0xff00, 0x7f80, 0, 0xffff}};
    EXPECT_THAT(tiff_values(icclab, {.photometric = PHOTOMETRIC_ICCLAB}),
                ElementsAre(65535, 0x8080, 65535, 32768, 0, 65535));
}

TEST_F(raster_open_conversions, jpeg_inside_a_tiff_is_read_as_rgb) {
    const TestPicture picture = support::gradient({64, 48}, 3, 8);
    const auto reader = tiff(picture, {.photometric = PHOTOMETRIC_YCBCR, .compression = COMPRESSION_JPEG});
    const auto rows = all_rows(*reader);
    ASSERT_EQ(rows.size(), picture.samples.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        // Quality 95 with halved chroma on a smooth gradient: a few codes at its channel slopes.
        ASSERT_NEAR(std::to_integer<int>(rows[i]), picture.samples[i], 12) << i;
    }
}

TEST_F(raster_open_conversions, of_several_pages_the_first_is_read_and_that_is_said) {
    const auto reader = tiff(support::noise({9, 9}, 3, 8, 1), {.extra_page = true});
    EXPECT_EQ(reader->info().notes, "the file has several pages; the first is read");
}

TEST_F(raster_open_conversions, png_palettes_and_few_bits_are_converted_and_that_is_said) {
    const auto file = m_folder.path() / "a.png";
    support::write_png(file, {{3, 1}, 1, 8, {1, 0, 1}}, {.palette = {{1, 2, 3}, {250, 251, 252}}});
    const auto palette = opened(file, m_folder);
    EXPECT_EQ(palette->info().notes, "palette picture, read as 8-bit RGB");
    EXPECT_THAT(numbers(all_rows(*palette), 8), ElementsAre(250, 251, 252, 1, 2, 3, 250, 251, 252));
    support::write_png(file, {{4, 1}, 1, 8, {0, 64, 128, 192}}, {.file_bits = 2});
    const auto grey = opened(file, m_folder);
    EXPECT_EQ(grey->info().notes, "2-bit picture, read as 8-bit grey");
    EXPECT_THAT(numbers(all_rows(*grey), 8), ElementsAre(0, 85, 170, 255));
}

TEST_F(raster_open_conversions, cmyk_is_refused_with_the_way_out) {
    const TestPicture four = support::noise({8, 8}, 4, 8, 1);
    EXPECT_THAT(tiff_refusal(four, {.photometric = PHOTOMETRIC_SEPARATED}), HasSubstr("CMYK"));
    support::write_jpeg(m_file, four, {.cmyk = true});
    EXPECT_THAT(what_is_wrong(m_file, m_folder), HasSubstr("convert it to Adobe RGB or sRGB"));
}

TEST_F(raster_open_conversions, alpha_is_refused_with_the_way_out) {
    const TestPicture four = support::noise({8, 8}, 4, 8, 1);
    for (const std::uint16_t kind : {EXTRASAMPLE_UNSPECIFIED, EXTRASAMPLE_ASSOCALPHA, EXTRASAMPLE_UNASSALPHA}) {
        EXPECT_THAT(tiff_refusal(four, {.extra_samples = {kind}}), HasSubstr("Flatten it"));
    }
    EXPECT_THAT(
        tiff_refusal(support::noise({8, 8}, 2, 16, 1), {.photometric = PHOTOMETRIC_MINISBLACK, .extra_samples = {2}}),
        HasSubstr("alpha"));
    const auto file = m_folder.path() / "a.png";
    support::write_png(file, four, {.alpha = true});
    EXPECT_THAT(what_is_wrong(file, m_folder), HasSubstr("Flatten it"));
    support::write_png(file, support::noise({8, 8}, 1, 8, 1), {.transparent_colour = true});
    EXPECT_THAT(what_is_wrong(file, m_folder), HasSubstr("transparency"));
}

TEST_F(raster_open_conversions, other_kinds_are_refused_each_with_its_reason) {
    const TestPicture rgb = support::noise({8, 8}, 3, 16, 1);
    EXPECT_THAT(tiff_refusal(rgb, {.sample_format = SAMPLEFORMAT_IEEEFP}), HasSubstr("floating-point"));
    EXPECT_THAT(tiff_refusal(rgb, {.sample_format = SAMPLEFORMAT_INT}), HasSubstr("signed"));
    EXPECT_THAT(tiff_refusal(support::noise({8, 8}, 3, 8, 1), {.photometric = PHOTOMETRIC_YCBCR}),
                HasSubstr("video colour"));
    EXPECT_THAT(tiff_refusal(support::noise({8, 8}, 1, 16, 1), {.photometric = PHOTOMETRIC_CFA}),
                HasSubstr("raw camera file"));
    support::write_jpeg(m_file, support::noise({8, 8}, 3, 8, 1), {.arithmetic = true});
    EXPECT_THAT(what_is_wrong(m_file, m_folder), HasSubstr("arithmetic-coded"));
}

}  // namespace
}  // namespace hangtrue::raster
