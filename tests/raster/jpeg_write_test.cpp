// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <cstdio>
#include <jpeglib.h>

#include <cerrno>
#include <cmath>
#include <cstdlib>
#include <utility>

#include "engine/base/error.h"
#include "engine/raster/jpeg_huffman.h"
#include "tests/raster/written_files.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::Seeded;
using support::TemporaryFolder;
using testing::HasSubstr;

PrintTags jpeg_tags(int width, int height, std::mt19937_64& random) {
    PrintTags tags;
    tags.size = {width, height};
    tags.ppi = {150};
    tags.icc_profile = random_bytes(3000, random);
    tags.author = "Ada Löwe";
    tags.copyright = "© 2026 Ada Löwe";
    return tags;
}

std::vector<std::byte> written_jpeg(const PrintTags& tags, int quality, const std::vector<std::byte>& samples) {
    const TemporaryFolder folder;
    base::Faults faults;
    base::Progress progress;
    base::OutputFile file(folder.path() / "print.jpg", base::OutputFile::Existing::refuse, faults);
    write_jpeg(file, tags, quality, supply_of(samples, tags), progress);
    std::vector<std::byte> bytes(static_cast<std::size_t>(file.size()));
    base::read_at(file.descriptor(), bytes, 0, "print.jpg");
    return bytes;
}

/// A JPEG as libjpeg, asked directly, sees it.
struct SeenByLibjpeg {
    jpeg_decompress_struct info{};
    jpeg_error_mgr errors{};
    std::vector<std::byte> samples;
    std::vector<std::byte> profile;
    std::vector<std::string> segments;  ///< APP1 and APP2.
    std::vector<std::pair<int, int>> sampling;

    explicit SeenByLibjpeg(const std::vector<std::byte>& bytes) {
        info.err = jpeg_std_error(&errors);
        jpeg_create_decompress(&info);
        jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
        jpeg_save_markers(&info, JPEG_APP0 + 1, 0xffff);
        jpeg_save_markers(&info, JPEG_APP0 + 2, 0xffff);
        jpeg_read_header(&info, TRUE);
        for (auto* marker = info.marker_list; marker != nullptr; marker = marker->next) {
            segments.emplace_back(reinterpret_cast<const char*>(marker->data), marker->data_length);
        }
        for (int i = 0; i < info.num_components; ++i) {
            sampling.emplace_back(info.comp_info[i].h_samp_factor, info.comp_info[i].v_samp_factor);
        }
        JOCTET* data = nullptr;
        unsigned size = 0;
        if (jpeg_read_icc_profile(&info, &data, &size)) {
            const auto found = std::as_bytes(std::span(data, size));
            profile.assign(found.begin(), found.end());
            std::free(data);
        }
        info.dct_method = JDCT_ISLOW;
        jpeg_start_decompress(&info);
        const std::size_t row_bytes = std::size_t{3} * info.output_width;
        samples.resize(row_bytes * info.output_height);
        while (info.output_scanline < info.output_height) {
            auto* row = reinterpret_cast<JSAMPROW>(samples.data() + row_bytes * info.output_scanline);
            jpeg_read_scanlines(&info, &row, 1);
        }
        jpeg_finish_decompress(&info);
    }
    ~SeenByLibjpeg() { jpeg_destroy_decompress(&info); }
    SeenByLibjpeg(const SeenByLibjpeg&) = delete;
    SeenByLibjpeg& operator=(const SeenByLibjpeg&) = delete;
};

/// The same samples coded by libjpeg in one go, with its own optimised tables and no segments of ours.
std::vector<std::byte> coded_by_libjpeg(const PrintTags& tags, int quality, const std::vector<std::byte>& samples) {
    jpeg_compress_struct info{};
    jpeg_error_mgr errors{};
    info.err = jpeg_std_error(&errors);
    jpeg_create_compress(&info);
    unsigned char* out = nullptr;
    unsigned long size = 0;
    jpeg_mem_dest(&info, &out, &size);
    info.image_width = static_cast<JDIMENSION>(tags.size.width);
    info.image_height = static_cast<JDIMENSION>(tags.size.height);
    info.input_components = 3;
    info.in_color_space = JCS_RGB;
    jpeg_set_defaults(&info);
    jpeg_set_quality(&info, quality, TRUE);
    for (int i = 0; i < 3; ++i) info.comp_info[i].h_samp_factor = info.comp_info[i].v_samp_factor = 1;
    info.dct_method = JDCT_ISLOW;
    info.optimize_coding = TRUE;
    info.density_unit = 1;
    info.X_density = info.Y_density = static_cast<UINT16>(tags.ppi.value);
    jpeg_start_compress(&info, TRUE);
    std::vector<std::byte> copy = samples;
    while (info.next_scanline < info.image_height) {
        auto* row = reinterpret_cast<JSAMPROW>(copy.data() + bytes_per_row(tags) * info.next_scanline);
        jpeg_write_scanlines(&info, &row, 1);
    }
    jpeg_finish_compress(&info);
    jpeg_destroy_compress(&info);
    const auto bytes = std::as_bytes(std::span(out, size));
    std::vector<std::byte> result(bytes.begin(), bytes.end());
    std::free(out);
    return result;
}

TEST(jpeg_write, without_segments_of_ours_it_is_what_libjpeg_codes_with_its_own_optimised_tables) {
    // Two passes and tables of our own take the place of libjpeg's, which keeps the whole picture in memory. Both
    // follow T.81 Annex K and break ties alike, so that even the bytes agree.
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (const auto& [width, height] : {std::pair{1, 1}, std::pair{7, 9}, std::pair{64, 64}, std::pair{333, 201}}) {
        for (const int quality : {1, 50, 92, 100}) {
            SCOPED_TRACE(testing::Message() << width << "x" << height << " at " << quality);
            PrintTags tags;
            tags.size = {width, height};
            tags.ppi = {150};
            const auto soft = noisy_ramp(tags, random);
            EXPECT_EQ(written_jpeg(tags, quality, soft), coded_by_libjpeg(tags, quality, soft));
            const auto noise = random_bytes(soft.size(), random);
            EXPECT_EQ(written_jpeg(tags, quality, noise), coded_by_libjpeg(tags, quality, noise));
        }
    }
}

TEST(jpeg_write, counts_so_uneven_that_codes_would_be_30_bits_long_stay_within_16) {
    // Fibonacci numbers make the deepest tree there is.
    SymbolCounts counts{};
    std::int64_t a = 1;
    std::int64_t b = 1;
    for (std::size_t i = 0; i < 40; ++i) {
        counts[i] = a;
        a = std::exchange(b, a + b);
    }
    const HuffmanTable table = best_table(counts);
    EXPECT_EQ(table.symbols.size(), 40U);
    // Kraft's sum of a prefix code whose code of ones alone is left free: below 1.
    double kraft = 0;
    int codes = 0;
    for (std::size_t length = 1; length <= 16; ++length) {
        kraft += table.lengths[length] * std::ldexp(1.0, -static_cast<int>(length));
        codes += table.lengths[length];
    }
    EXPECT_EQ(codes, 40);
    EXPECT_LT(kraft, 1.0);
}

TEST(jpeg_write, libjpeg_finds_density_profile_exif_and_no_subsampling) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    PrintTags tags = jpeg_tags(61, 47, random);
    tags.ppi = {157.48};
    const auto samples = noisy_ramp(tags, random);
    const SeenByLibjpeg seen(written_jpeg(tags, 100, samples));
    EXPECT_EQ(seen.info.density_unit, 1);
    EXPECT_EQ(seen.info.X_density, 157);
    EXPECT_EQ(seen.info.Y_density, 157);
    EXPECT_EQ(seen.sampling, (std::vector<std::pair<int, int>>{{1, 1}, {1, 1}, {1, 1}}));
    EXPECT_EQ(seen.profile, tags.icc_profile);
    ASSERT_EQ(seen.segments.size(), 2U);
    const std::string& exif = seen.segments[0];
    EXPECT_EQ(exif.substr(0, 10), std::string("Exif\0\0II*\0", 10));
    EXPECT_THAT(exif, HasSubstr("Ada Löwe"));
    EXPECT_THAT(exif, HasSubstr("© 2026 Ada Löwe"));
    // Quality 100 has quantisers of 1: what is left is rounding to whole numbers, in the colour change and the DCT
    // there and back. At most 3 codes, seen over many seeds.
    for (std::size_t i = 0; i < samples.size(); ++i) {
        EXPECT_NEAR(std::to_integer<int>(seen.samples[i]), std::to_integer<int>(samples[i]), 3);
    }
}

TEST(jpeg_write, jpeg_bytes_tells_the_length_without_writing) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const PrintTags tags = jpeg_tags(200, 150, random);
    const auto samples = noisy_ramp(tags, random);
    base::Progress progress;
    for (const int quality : {80, 95}) {
        EXPECT_EQ(jpeg_bytes(tags, quality, supply_of(samples, tags), progress),
                  static_cast<std::int64_t>(written_jpeg(tags, quality, samples).size()));
    }
}

TEST(jpeg_write, profiles_take_one_segment_up_to_65519_bytes_and_nine_for_560000) {
    // ICC.1 annex B.4: 14 of a segment's 65533 bytes are not the profile's.
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (const auto& [bytes, segments] : {std::pair{65519U, 1U}, std::pair{65520U, 2U}, std::pair{560000U, 9U}}) {
        PrintTags tags;
        tags.size = {8, 8};
        tags.ppi = {150};
        tags.icc_profile = random_bytes(bytes, random);
        const std::vector<std::byte> file = written_jpeg(tags, 95, noisy_ramp(tags, random));
        const SeenByLibjpeg seen(file);
        EXPECT_EQ(seen.segments.size(), segments);
        EXPECT_EQ(read_back_bytes(file).found.tags.icc_profile, tags.icc_profile);
    }
}

TEST(jpeg_write, a_side_over_65500_pixels_is_refused_with_the_way_out) {
    PrintTags tags;
    tags.size = {65501, 1};
    tags.ppi = {150};
    const std::vector<std::byte> samples(bytes_per_row(tags));
    try {
        written_jpeg(tags, 95, samples);
        FAIL() << "not refused";
    } catch (const base::WriteFailed& failure) {
        EXPECT_THAT(failure.what(), HasSubstr("65500"));
        EXPECT_THAT(failure.what(), HasSubstr("--format tiff"));
    }
    tags.size = {65500, 1};
    EXPECT_NO_THROW(written_jpeg(tags, 95, samples));
}

class Failing : public base::Faults {
  public:
    int error_number = 0;
    std::vector<base::Step> steps;
    void reached(base::Step step) override { steps.push_back(step); }
    int failing(base::Call call) override { return call == base::Call::write ? error_number : 0; }
};

TEST(jpeg_write, half_written_and_written_are_each_reached_once) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const PrintTags tags = jpeg_tags(16, 300, random);
    const auto samples = noisy_ramp(tags, random);
    Failing faults;
    base::Progress progress;
    base::OutputFile file(folder.path() / "print.jpg", base::OutputFile::Existing::refuse, faults);
    write_jpeg(file, tags, 95, supply_of(samples, tags), progress);
    using base::Step;
    EXPECT_EQ(faults.steps, (std::vector{Step::temporary_made, Step::half_written, Step::written}));
}

TEST(jpeg_write, a_full_disk_a_lost_drive_a_failing_supply_and_a_cancel_come_through_the_coder) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const PrintTags tags = jpeg_tags(1024, 512, random);  // more than the coder's buffer of 1 MiB
    const auto samples = random_bytes(bytes_per_row(tags) * 512, random);
    const auto attempt = [&](base::Faults& faults, const RowSupply& rows, base::Progress& progress) {
        base::OutputFile file(folder.path() / "print.jpg", base::OutputFile::Existing::refuse, faults);
        write_jpeg(file, tags, 100, rows, progress);
    };
    for (const int error_number : {ENOSPC, EIO}) {
        Failing faults;
        faults.error_number = error_number;
        base::Progress progress;
        EXPECT_THROW(attempt(faults, supply_of(samples, tags), progress), base::WriteFailed);
    }
    base::Faults faults;
    base::Progress progress;
    const RowSupply unreadable = [](int, int, std::span<std::byte>) { throw base::UnreadableInput("gone"); };
    EXPECT_THROW(attempt(faults, unreadable, progress), base::UnreadableInput);
    progress.cancel();
    EXPECT_THROW(attempt(faults, supply_of(samples, tags), progress), base::Cancelled);
    EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

}  // namespace
}  // namespace hangtrue::raster
