// SPDX-License-Identifier: Apache-2.0
/// Rows in any order, large strips, scratch files, and a picture that stays untouched.
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <tiff.h>

#include <cerrno>

#include "tests/raster/read_support.h"
#include "tests/support/pictures.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::TestPicture;
using support::TiffWish;

/// One file of each way of reading, by name.
std::vector<std::filesystem::path> one_of_each(const support::TemporaryFolder& folder, const TestPicture& picture) {
    const auto tiff = [&](const char* name, TiffWish wish) {
        const auto file = folder.path() / name;
        wish.orientation = wish.orientation == 0 ? 1 : wish.orientation;
        support::write_tiff(file, support::stored_as(picture, wish.orientation), wish);
        return file;
    };
    const auto other = [&](const char* name) { return folder.path() / name; };
    support::write_jpeg(other("plain.jpg"), picture, {});
    support::write_jpeg(other("progressive.jpg"), picture, {.progressive = true});
    support::write_jpeg(other("upside-down.jpg"), picture, {.orientation = 3});
    support::write_png(other("plain.png"), picture, {});
    support::write_png(other("interlaced.png"), picture, {.interlaced = true});
    return {tiff("strips.tif", {}),
            tiff("lzw.tif", {.compression = COMPRESSION_LZW}),
            tiff("tiles.tif", {.tile_side = 16}),
            tiff("planes.tif", {.separate_planes = true}),
            tiff("flipped.tif", {.orientation = 4}),
            tiff("turned.tif", {.compression = COMPRESSION_LZW, .orientation = 8}),
            other("plain.jpg"),
            other("progressive.jpg"),
            other("upside-down.jpg"),
            other("plain.png"),
            other("interlaced.png")};
}

TEST(raster_read_rows, any_order_and_any_count_gives_what_reading_from_the_top_gives) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const support::TemporaryFolder folder;
    for (const auto& file : one_of_each(folder, support::noise({37, 90}, 3, 8, random()))) {
        SCOPED_TRACE(file.filename());
        const auto reader = opened(file, folder);
        const auto expected = all_rows(*reader, 90);
        const std::size_t row = reader->info().bytes_per_row();
        base::Progress progress;
        for (int i = 0; i < 40; ++i) {
            const int first = static_cast<int>(random() % 90);
            const int count = static_cast<int>(random() % static_cast<unsigned>(91 - first));
            std::vector<std::byte> part(row * static_cast<std::size_t>(count));
            reader->read_rows(first, count, part, progress);
            const auto from = expected.begin() + static_cast<std::ptrdiff_t>(row) * first;
            ASSERT_TRUE(std::equal(part.begin(), part.end(), from))
                << "rows " << first << " and " << count << " in all";
        }
    }
}

/// Over the 8 MiB up to which a decoded strip is kept, so that it is read row by row.
constexpr base::PixelSize large_strip{1700, 1700};

TEST(raster_read_rows, one_strip_of_9_mb_is_read_row_by_row_in_every_compression) {
    const support::TemporaryFolder folder;
    // Smooth above and noise below: long strings and short ones, runs and none.
    TestPicture picture = support::gradient(large_strip, 3, 8);
    const TestPicture noise = support::noise(large_strip, 3, 8, 5);
    std::copy(noise.samples.begin() + 3'000'000, noise.samples.begin() + 5'000'000,
              picture.samples.begin() + 3'000'000);
    std::fill(picture.samples.begin() + 6'000'000, picture.samples.begin() + 7'000'000, std::uint16_t{255});
    const auto expected = support::as_bytes(picture);
    struct Way {
        std::uint16_t compression;
        std::uint16_t predictor;
    };
    for (const Way way : {Way{COMPRESSION_LZW, 1}, Way{COMPRESSION_LZW, 2}, Way{COMPRESSION_ADOBE_DEFLATE, 2},
                          Way{COMPRESSION_PACKBITS, 1}, Way{COMPRESSION_ZSTD, 1}}) {
        SCOPED_TRACE(std::to_string(way.compression) + " predictor " + std::to_string(way.predictor));
        const auto file = folder.path() / "large.tif";
        support::write_tiff(file, picture,
                            {.compression = way.compression, .predictor = way.predictor, .rows_per_strip = 1700});
        const auto reader = opened(file, folder);
        ASSERT_TRUE(all_rows(*reader, 64) == expected);
        EXPECT_EQ(reader->spilled_bytes(), 0);
    }
}

TEST(raster_read_rows, sixteen_bit_strips_of_either_byte_order_are_read_row_by_row_too) {
    const support::TemporaryFolder folder;
    const TestPicture picture = support::gradient({1300, 1300}, 3, 16);
    const auto expected = support::as_bytes(picture);
    for (const bool big_endian : {false, true}) {
        const auto file = folder.path() / "large.tif";
        // Two strips, of 8.6 and 1.6 MB.
        support::write_tiff(
            file, picture,
            {.compression = COMPRESSION_LZW, .predictor = 2, .rows_per_strip = 1100, .big_endian = big_endian});
        ASSERT_TRUE(all_rows(*opened(file, folder), 64) == expected);
    }
}

TEST(raster_read_rows, a_quarter_turn_over_several_bands_is_exact) {
    const support::TemporaryFolder folder;
    const TestPicture upright = support::noise({700, 90}, 3, 16, 3);  // Stored 700 rows high: bands of 256, 256, 188.
    for (int orientation = 5; orientation <= 8; ++orientation) {
        const auto file = folder.path() / "turned.tif";
        support::write_tiff(file, support::stored_as(upright, orientation), {.orientation = orientation});
        const auto reader = opened(file, folder);
        EXPECT_EQ(reader->info().size, upright.size);
        ASSERT_TRUE(all_rows(*reader, 11) == support::as_bytes(upright)) << orientation;
        // Three bands of 256 pixels in each of 90 rows.
        EXPECT_EQ(reader->spilled_bytes(), 3 * 256 * 90 * 6);
    }
}

TEST(raster_read_rows, only_what_cannot_be_read_at_any_place_is_spilled) {
    const support::TemporaryFolder folder;
    const TestPicture picture = support::noise({40, 30}, 3, 8, 3);
    support::write_tiff(folder.path() / "a.tif", picture, {.orientation = 3});
    support::write_jpeg(folder.path() / "a.jpg", picture, {.orientation = 2});
    support::write_jpeg(folder.path() / "b.jpg", picture, {.orientation = 3});
    EXPECT_EQ(opened(folder.path() / "a.tif", folder)->spilled_bytes(), 0);
    EXPECT_EQ(opened(folder.path() / "a.jpg", folder)->spilled_bytes(), 0);
    EXPECT_EQ(opened(folder.path() / "b.jpg", folder)->spilled_bytes(), 40 * 30 * 3);
}

TEST(raster_read_rows, progressive_jpeg_keeps_two_bytes_a_coefficient) {
    const support::TemporaryFolder folder;
    const TestPicture picture = support::noise({33, 17}, 3, 8, 3);
    support::write_jpeg(folder.path() / "p.jpg", picture, {.progressive = true});
    support::write_jpeg(folder.path() / "s.jpg", picture, {.progressive = true, .subsampled = true});
    support::write_jpeg(folder.path() / "b.jpg", picture, {});
    // 5 x 3 blocks in each of three channels; with 4:2:0 6 x 4 and twice 3 x 2.
    EXPECT_EQ(opened(folder.path() / "p.jpg", folder)->decoder_bytes(), 3 * 15 * 128);
    EXPECT_EQ(opened(folder.path() / "s.jpg", folder)->decoder_bytes(), (24 + 6 + 6) * 128);
    EXPECT_EQ(opened(folder.path() / "b.jpg", folder)->decoder_bytes(), 0);
}

TEST(raster_read_rows, interlaced_png_keeps_its_samples) {
    const support::TemporaryFolder folder;
    const TestPicture picture = support::noise({33, 17}, 3, 16, 3);
    support::write_png(folder.path() / "i.png", picture, {.interlaced = true});
    support::write_png(folder.path() / "n.png", picture, {});
    EXPECT_EQ(opened(folder.path() / "i.png", folder)->decoder_bytes(), 33 * 17 * 6);
    EXPECT_EQ(opened(folder.path() / "n.png", folder)->decoder_bytes(), 0);
}

struct Traces {
    off_t size;
    std::int64_t modified;
    std::int64_t changed;
    std::vector<std::byte> bytes;
    bool operator==(const Traces&) const = default;
};

Traces traces_of(const std::filesystem::path& file) {
    struct stat status {};
    EXPECT_EQ(::stat(file.c_str(), &status), 0);
    const auto nanoseconds = [](const timespec& time) {
        return std::int64_t{time.tv_sec} * 1'000'000'000 + time.tv_nsec;
    };
    return {status.st_size, nanoseconds(status.st_mtim), nanoseconds(status.st_ctim), support::file_bytes(file)};
}

TEST(raster_read_rows, size_bytes_and_times_of_a_picture_stay_as_they_were) {
    const support::TemporaryFolder folder;
    const support::TemporaryFolder scratch;
    for (const auto& file : one_of_each(folder, support::noise({37, 41}, 3, 8, 9))) {
        SCOPED_TRACE(file.filename());
        const Traces before = traces_of(file);
        all_rows(*opened(file, scratch));
        EXPECT_TRUE(traces_of(file) == before);
    }
    EXPECT_TRUE(std::filesystem::is_empty(scratch.path()));
}

TEST(raster_read_rows, a_picture_deleted_while_it_is_open_is_read_to_its_end) {
    const support::TemporaryFolder folder;
    const TestPicture picture = support::noise({37, 41}, 3, 8, 9);
    support::write_tiff(folder.path() / "a.tif", picture, {.compression = COMPRESSION_LZW});
    const auto reader = opened(folder.path() / "a.tif", folder);
    std::filesystem::remove(folder.path() / "a.tif");
    EXPECT_TRUE(all_rows(*reader) == support::as_bytes(picture));
}

TEST(raster_read_rows, a_picture_cut_short_while_it_is_open_is_a_clean_error) {
    const support::TemporaryFolder folder;
    for (const auto& file : one_of_each(folder, support::noise({37, 410}, 3, 8, 9))) {
        SCOPED_TRACE(file.filename());
        const auto reader = opened(file, folder);
        std::filesystem::resize_file(file, 300);
        // What was spilled when it was opened is not asked of the picture again.
        if (reader->spilled_bytes() > 0) continue;
        EXPECT_THROW(all_rows(*reader), base::UnreadableInput);
        EXPECT_THROW(all_rows(*reader), base::UnreadableInput);
    }
}

TEST(raster_read_rows, cancelling_ends_reading_and_turning) {
    const support::TemporaryFolder folder;
    base::Progress stopped;
    for (const auto& file : one_of_each(folder, support::noise({37, 41}, 3, 8, 9))) {
        SCOPED_TRACE(file.filename());
        const auto reader = opened(file, folder);
        std::vector<std::byte> rows(reader->info().bytes_per_row());
        stopped.cancel();
        EXPECT_THROW(reader->read_rows(0, 1, rows, stopped), base::Cancelled);
    }
    base::Faults faults;
    EXPECT_THROW(open_picture(folder.path() / "turned.tif", {folder.path(), faults}, stopped), base::Cancelled);
}

TEST(raster_read_rows, a_disk_full_while_turning_is_told) {
    struct FullDisk final : base::Faults {
        int failing(base::Call call) override { return call == base::Call::write ? ENOSPC : 0; }
    };
    const support::TemporaryFolder folder;
    FullDisk full;
    base::Progress progress;
    support::write_tiff(folder.path() / "a.tif", support::noise({37, 41}, 3, 8, 9), {.orientation = 6});
    EXPECT_THROW(open_picture(folder.path() / "a.tif", {folder.path(), full}, progress), base::WriteFailed);
}

}  // namespace
}  // namespace hangtrue::raster
