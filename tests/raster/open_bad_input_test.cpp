// SPDX-License-Identifier: Apache-2.0
/// What is no picture, or a broken one, gets one clear sentence: never a crash, a hang or a guess.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <tiff.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <string_view>

#include "tests/raster/read_support.h"
#include "tests/support/pictures.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::TestPicture;
using testing::AllOf;
using testing::HasSubstr;

class raster_open_bad_input : public testing::Test {
  protected:
    std::filesystem::path path(const char* name) const { return m_folder.path() / name; }
    std::filesystem::path file_of(std::string_view content) const {
        support::write_bytes(path("file"), std::as_bytes(std::span(content)));
        return path("file");
    }
    std::string wrong(const std::filesystem::path& file) const { return what_is_wrong(file, m_folder); }

    support::TemporaryFolder m_folder;
};

TEST_F(raster_open_bad_input, missing_folder_empty_pipe_and_device_are_told_at_once) {
    EXPECT_THAT(wrong(path("none.tif")), AllOf(HasSubstr("none.tif"), HasSubstr("There is no file")));
    EXPECT_THAT(wrong(m_folder.path()), HasSubstr("is a folder"));
    EXPECT_THAT(wrong(file_of("")), HasSubstr("is empty (0 bytes)"));
    ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
    EXPECT_THAT(wrong(path("pipe")), HasSubstr("no ordinary file"));
    EXPECT_THAT(wrong("/dev/zero"), HasSubstr("no ordinary file"));
    std::filesystem::create_symlink(path("loop"), path("loop"));
    EXPECT_THAT(wrong(path("loop")), HasSubstr("cannot be opened"));
}

TEST_F(raster_open_bad_input, a_file_that_may_not_be_read_is_told) {
    if (::geteuid() == 0) GTEST_SKIP() << "root may read all";
    support::write_png(path("a.png"), support::noise({4, 4}, 1, 8, 1), {});
    ASSERT_EQ(::chmod(path("a.png").c_str(), 0), 0);
    EXPECT_THAT(wrong(path("a.png")), HasSubstr("may not be read by you"));
}

TEST_F(raster_open_bad_input, what_is_no_picture_is_named_where_it_is_known) {
    EXPECT_THAT(wrong(file_of("Dear shop, please print")), HasSubstr("not a TIFF, JPEG or PNG"));
    EXPECT_THAT(wrong(file_of("x")), HasSubstr("not a TIFF, JPEG or PNG"));
    EXPECT_THAT(wrong(file_of("8BPS\0\1")), AllOf(HasSubstr("PSD document"), HasSubstr("Save it as a TIFF")));
    EXPECT_THAT(wrong(file_of("RIFF....WEBPVP8 ")), HasSubstr("WebP"));
    EXPECT_THAT(wrong(file_of(std::string_view("\0\0\0\x18"
                                               "ftypheic",
                                               12))),
                HasSubstr("HEIC"));
}

TEST_F(raster_open_bad_input, a_size_that_the_file_cannot_hold_is_refused_before_any_memory_is_taken) {
    // Directories of uncompressed and of LZW pictures whose sides are then claimed to be larger.
    const TestPicture picture = support::noise({16, 16}, 3, 8, 1);
    const auto claim = [&](std::uint16_t compression, std::uint32_t side) {
        support::write_tiff(path("a.tif"), picture, {.compression = compression});
        auto bytes = support::file_bytes(path("a.tif"));
        std::uint32_t at = 0;
        std::memcpy(&at, bytes.data() + 4, 4);
        std::uint16_t count = 0;
        std::memcpy(&count, bytes.data() + at, 2);
        for (std::uint32_t entry = at + 2; entry < at + 2 + 12U * count; entry += 12) {
            std::uint16_t tag = 0;
            std::memcpy(&tag, bytes.data() + entry, 2);
            const std::uint16_t type_long = 4;
            if (tag != TIFFTAG_IMAGEWIDTH && tag != TIFFTAG_IMAGELENGTH) continue;
            std::memcpy(bytes.data() + entry + 2, &type_long, 2);
            std::memcpy(bytes.data() + entry + 8, &side, 4);
        }
        support::write_bytes(path("a.tif"), bytes);
        return wrong(path("a.tif"));
    };
    EXPECT_THAT(claim(COMPRESSION_NONE, 200'000), HasSubstr("200,000 x 200,000 pixels"));
    EXPECT_THAT(claim(COMPRESSION_LZW, 200'000), HasSubstr("200,000 x 200,000 pixels"));
    EXPECT_THAT(claim(COMPRESSION_NONE, 40'000), HasSubstr("cannot hold them"));
    EXPECT_THAT(claim(COMPRESSION_LZW, 40'000), HasSubstr("cannot hold them"));
    EXPECT_NE(claim(COMPRESSION_NONE, 0), "");
    EXPECT_NE(claim(COMPRESSION_NONE, 0xffffffff), "");
}

TEST_F(raster_open_bad_input, a_png_and_a_jpeg_that_claim_too_much_are_refused) {
    support::write_png(path("a.png"), support::noise({16, 16}, 3, 8, 1), {.interlaced = true});
    auto png = support::file_bytes(path("a.png"));
    // Width and height stand at 16 and 20; the header's check sum at 29 (CRC-32 of type and data, bytes 12 to 28).
    for (const std::size_t at : {16U, 20U}) png[at + 2] = std::byte{0x9c};  // 0x9c10 = 39,952
    std::uint32_t crc = 0xffffffffU;
    for (std::size_t i = 12; i < 29; ++i) {
        crc ^= std::to_integer<std::uint32_t>(png[i]);
        for (int bit = 0; bit < 8; ++bit) crc = crc >> 1 ^ ((crc & 1U) != 0 ? 0xedb88320U : 0U);
    }
    for (std::size_t i = 0; i < 4; ++i) png[29 + i] = static_cast<std::byte>(~crc >> (24 - 8 * i));
    support::write_bytes(path("a.png"), png);
    EXPECT_THAT(wrong(path("a.png")), AllOf(HasSubstr("39,952 x 39,952"), HasSubstr("cannot hold them")));

    support::write_jpeg(path("a.jpg"), support::noise({16, 16}, 3, 8, 1), {.progressive = true});
    auto jpeg = support::file_bytes(path("a.jpg"));
    const std::array<std::byte, 2> frame{std::byte{0xff},
                                         std::byte{0xc2}};  // SOF2: length (2), bits (1), height, width.
    const auto at = std::search(jpeg.begin(), jpeg.end(), frame.begin(), frame.end());
    ASSERT_NE(at, jpeg.end());
    for (const int high : {5, 7}) at[high] = std::byte{0x9c};  // 0x9c10 = 39,952
    support::write_bytes(path("a.jpg"), jpeg);
    EXPECT_THAT(wrong(path("a.jpg")), AllOf(HasSubstr("39,952 x 39,952"), HasSubstr("cannot hold them")));
}

TEST_F(raster_open_bad_input, a_directory_that_points_to_itself_is_no_trap) {
    support::write_tiff(path("a.tif"), support::noise({9, 9}, 3, 8, 1), {});
    auto bytes = support::file_bytes(path("a.tif"));
    std::uint32_t at = 0;
    std::memcpy(&at, bytes.data() + 4, 4);
    std::uint16_t count = 0;
    std::memcpy(&count, bytes.data() + at, 2);
    std::memcpy(bytes.data() + at + 2 + 12U * count, &at, 4);  // The next directory is this one.
    support::write_bytes(path("a.tif"), bytes);
    EXPECT_EQ(wrong(path("a.tif")), "");
}

/// A small file of each way of reading.
std::vector<std::filesystem::path> small_files(const support::TemporaryFolder& folder) {
    const TestPicture picture = support::gradient({43, 37}, 3, 8);
    const TestPicture deep = support::gradient({23, 37}, 3, 16);
    std::vector<std::filesystem::path> files;
    const auto name = [&](const char* ending) {
        files.push_back(folder.path() / (std::to_string(files.size()) + ending));
        return files.back();
    };
    support::write_tiff(name(".tif"), picture, {});
    support::write_tiff(name(".tif"), deep,
                        {.compression = COMPRESSION_LZW, .predictor = 2, .orientation = 6, .big_endian = true});
    support::write_tiff(name(".tif"), deep, {.compression = COMPRESSION_ADOBE_DEFLATE, .tile_side = 16});
    support::write_tiff(name(".tif"), picture, {.compression = COMPRESSION_PACKBITS, .separate_planes = true});
    support::write_tiff(name(".tif"), picture, {.photometric = PHOTOMETRIC_YCBCR, .compression = COMPRESSION_JPEG});
    support::write_tiff(name(".tif"), picture,
                        {.photometric = PHOTOMETRIC_CIELAB,
                         .big_tiff = true,
                         .metadata = {.icc_profile = support::stand_in_profile(200), .copyright = "c"}});
    TestPicture grey = support::gradient({43, 37}, 1, 8);
    support::write_tiff(name(".tif"), grey,
                        {.photometric = PHOTOMETRIC_MINISWHITE, .compression = COMPRESSION_CCITTFAX4, .file_bits = 1});
    support::TiffWish palette{.photometric = PHOTOMETRIC_PALETTE, .compression = COMPRESSION_LZW};
    palette.colour_map.assign(768, 0x1234);
    support::write_tiff(name(".tif"), grey, palette);
    support::write_jpeg(name(".jpg"), picture,
                        {.orientation = 5, .metadata = {.icc_profile = support::stand_in_profile(200)}});
    support::write_jpeg(name(".jpg"), picture, {.progressive = true, .subsampled = true});
    support::write_jpeg(name(".jpg"), grey,
                        {.restart_rows = 1, .metadata = {.iptc = support::iptc_datasets("a", "b")}});
    support::write_png(name(".png"), deep, {.orientation = 3, .text_author = "b"});
    support::write_png(name(".png"), picture, {.interlaced = true, .metadata = {.xmp = support::xmp_packet("a", "b")}});
    support::write_png(name(".png"), grey, {.file_bits = 4});
    return files;
}

TEST_F(raster_open_bad_input, files_cut_short_anywhere_give_all_their_rows_or_one_sentence) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    int refused = 0;
    for (const auto& file : small_files(m_folder)) {
        const auto bytes = support::file_bytes(file);
        ASSERT_EQ(wrong(file), "") << file;
        for (int i = 0; i < 30; ++i) {
            const std::size_t length = i == 0 ? bytes.size() - 1 : random() % bytes.size();
            SCOPED_TRACE(file.filename().string() + " cut to " + std::to_string(length));
            support::write_bytes(path("cut"), std::span(bytes).first(length));
            refused += wrong(path("cut")).empty() ? 0 : 1;
        }
    }
    // Only a cut after the last sample may pass: the end mark of a JPEG, a TIFF's directory never.
    EXPECT_GE(refused, 14 * 30 - 14 * 3);
}

TEST_F(raster_open_bad_input, files_with_flipped_bytes_give_all_their_rows_or_one_sentence) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    int refused = 0;
    for (const auto& file : small_files(m_folder)) {
        const auto bytes = support::file_bytes(file);
        for (int i = 0; i < 60; ++i) {
            auto bad = bytes;
            // Half of them in the first 200 bytes and the last 300, where headers and directories stand.
            const bool in_head = random() % 2 == 0;
            const std::size_t place = in_head ? random() % 500 : random();
            const std::size_t at =
                in_head && place >= 200 ? bad.size() - 1 - place % 300 % bad.size() : place % bad.size();
            bad[at] = static_cast<std::byte>(random());
            SCOPED_TRACE(file.filename().string() + " changed at " + std::to_string(at) + " to " +
                         std::to_string(std::to_integer<int>(bad[at])));
            support::write_bytes(path("flipped"), bad);
            refused += wrong(path("flipped")).empty() ? 0 : 1;
        }
    }
    EXPECT_GE(refused, 14 * 60 / 4);  // A test that refuses nothing tests nothing.
}

TEST_F(raster_open_bad_input, a_jpeg_that_ends_in_the_middle_is_not_filled_up_with_grey) {
    for (const bool progressive : {false, true}) {
        support::write_jpeg(path("a.jpg"), support::noise({64, 64}, 3, 8, 1), {.progressive = progressive});
        auto bytes = support::file_bytes(path("a.jpg"));
        bytes.resize(bytes.size() / 2);
        support::write_bytes(path("a.jpg"), bytes);
        EXPECT_THAT(wrong(path("a.jpg")), HasSubstr("it ends too early"));
        // With an end mark too, as a broken copy that was "repaired" has it.
        bytes.push_back(std::byte{0xff});
        bytes.push_back(std::byte{0xd9});
        support::write_bytes(path("a.jpg"), bytes);
        EXPECT_THAT(wrong(path("a.jpg")), HasSubstr("is damaged or was cut short"));
    }
}

}  // namespace
}  // namespace hangtrue::raster
