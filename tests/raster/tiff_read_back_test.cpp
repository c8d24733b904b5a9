// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>

#include "engine/base/error.h"
#include "tests/raster/written_files.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::Seeded;
using support::TemporaryFolder;

PrintTags small_tags(int bits) {
    PrintTags tags;
    tags.size = {7, 6};
    tags.bits = bits;
    tags.ppi = {150};
    tags.author = "Ada";
    tags.copyright = "© Ada";
    for (int i = 0; i < 21; ++i) tags.icc_profile.push_back(static_cast<std::byte>(40 + i));
    return tags;
}

const std::vector<TiffForm> small_forms{{TiffCompression::none, false, 2},  {TiffCompression::none, true, 4},
                                        {TiffCompression::none, false, 6},  {TiffCompression::lzw, false, 4},
                                        {TiffCompression::lzw, true, 6},    {TiffCompression::deflate, false, 4},
                                        {TiffCompression::deflate, true, 6}};

TEST(tiff_read_back, finds_every_tag_and_sample_that_was_written) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    for (const int bits : {8, 16}) {
        for (const TiffForm& form : small_forms) {
            PrintTags tags = small_tags(bits);
            tags.ppi = {157.48};
            const auto samples = noisy_ramp(tags, random);
            write_tiff(name, tags, form, samples);
            for (const int rows_at_once : {1, 4, 100}) {
                const ReadBack again = read_back_all(name, rows_at_once);
                EXPECT_EQ(again.found.format, FileFormat::tiff);
                EXPECT_EQ(again.found.tags, tags);
                EXPECT_EQ(again.found.compression, form.compression);
                EXPECT_EQ(again.found.big_tiff, form.big);
                EXPECT_TRUE(again.found.other_tags.empty());
                EXPECT_EQ(again.samples, samples);
                const auto bytes = file_bytes(name);
                EXPECT_EQ(again.found.bytes, static_cast<std::int64_t>(bytes.size()));
                EXPECT_EQ(again.found.sha256, base::sha256(bytes));
            }
        }
    }
}

TEST(tiff_read_back, rows_come_in_runs_of_the_length_asked_for) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    PrintTags tags = small_tags(8);
    tags.size = {5, 50};
    const auto samples = noisy_ramp(tags, random);
    for (const TiffCompression compression : {TiffCompression::none, TiffCompression::lzw}) {
        write_tiff(name, tags, {compression, false, 3}, samples);
        std::vector<std::pair<int, int>> runs;
        const base::Descriptor descriptor(::open(name.c_str(), O_RDONLY | O_CLOEXEC));
        base::Progress progress;
        read_back(
            descriptor.get(), name, 16,
            [&](int first, int count, std::span<const std::byte> rows) {
                EXPECT_EQ(rows.size(), bytes_per_row(tags) * static_cast<std::size_t>(count));
                runs.emplace_back(first, count);
            },
            progress);
        EXPECT_EQ(runs, (std::vector<std::pair<int, int>>{{0, 16}, {16, 16}, {32, 16}, {48, 2}}));
    }
}

/// What a verifier compares: the samples, and all that was found but the hash of the file, which nobody knew.
bool is_noticed(std::span<const std::byte> bytes, const ReadBack& whole) {
    try {
        const ReadBack damaged = read_back_bytes(bytes);
        return damaged.samples != whole.samples || damaged.found.tags != whole.found.tags ||
               damaged.found.compression != whole.found.compression || damaged.found.big_tiff != whole.found.big_tiff ||
               !damaged.found.other_tags.empty();
    } catch (const base::UnreadableInput&) {
        return true;
    }
}

TEST(tiff_read_back, every_flipped_byte_and_bit_of_a_file_is_noticed) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    for (const TiffForm& form : small_forms) {
        // Noise, which deflate stores as it is; its Huffman codes have a test of their own below.
        const PrintTags tags = small_tags(8);
        const auto samples = random_bytes(bytes_per_row(tags) * 6, random);
        write_tiff(name, tags, form, samples);
        const ReadBack whole = read_back_all(name);
        std::vector<std::byte> bytes = file_bytes(name);
        for (std::size_t at = 0; at < bytes.size(); ++at) {
            for (const int flip : {0xff, 1, 16}) {
                bytes[at] ^= static_cast<std::byte>(flip);
                EXPECT_TRUE(is_noticed(bytes, whole))
                    << "byte " << at << " of " << bytes.size() << ", flip " << flip << ", compression "
                    << static_cast<int>(form.compression) << ", big " << form.big;
                bytes[at] ^= static_cast<std::byte>(flip);
            }
        }
    }
}

TEST(tiff_read_back, a_flipped_bit_of_huffman_codes_is_noticed_unless_it_says_the_same) {
    // RFC 1951 lets the length of a code that is never used be said in two ways: such a bit changes neither sample
    // nor tag. Everything before the strip is noticed always, and of the strip's bits all but 1 in 50.
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    const PrintTags tags = small_tags(8);
    write_tiff(name, tags, {TiffCompression::deflate, false, 6}, noisy_ramp(tags, random));
    const ReadBack whole = read_back_all(name);
    std::vector<std::byte> bytes = file_bytes(name);
    std::size_t unnoticed = 0;
    for (std::size_t bit = 0; bit < 8 * bytes.size(); ++bit) {
        bytes[bit / 8] ^= static_cast<std::byte>(1U << bit % 8);
        if (!is_noticed(bytes, whole)) {
            ++unnoticed;
            EXPECT_GT(bit / 8, 300U) << "a bit of the directory or its values";
        }
        bytes[bit / 8] ^= static_cast<std::byte>(1U << bit % 8);
    }
    EXPECT_LE(unnoticed * 50, 8 * (bytes.size() - 300));
}

TEST(tiff_read_back, every_shortening_and_lengthening_is_refused) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    for (const TiffForm& form : small_forms) {
        const PrintTags tags = small_tags(8);
        write_tiff(name, tags, form, noisy_ramp(tags, random));
        std::vector<std::byte> bytes = file_bytes(name);
        for (std::size_t length = 0; length < bytes.size(); ++length) {
            EXPECT_THROW(read_back_bytes(std::span(bytes).first(length)), base::UnreadableInput) << length;
        }
        bytes.push_back(std::byte{0});
        EXPECT_THROW(read_back_bytes(bytes), base::UnreadableInput);
    }
}

TEST(tiff_read_back, a_tag_that_no_print_file_has_is_listed) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    const PrintTags tags = small_tags(8);
    write_tiff(name, tags, small_forms[0], noisy_ramp(tags, random));
    std::vector<std::byte> bytes = file_bytes(name);
    // The entry of the author, tag 315 of type 2, becomes one of tag 305 (Software), which has its place there too.
    const std::array author{std::byte{315 & 0xff}, std::byte{315 >> 8}, std::byte{2}, std::byte{0}};
    const auto at = std::search(bytes.begin(), bytes.end(), author.begin(), author.end());
    ASSERT_NE(at, bytes.end());
    *at = std::byte{305 & 0xff};
    const FoundFile found = read_back_bytes(bytes).found;
    EXPECT_EQ(found.other_tags, std::vector{305});
    EXPECT_EQ(found.tags.author, "");
}

TEST(tiff_read_back, random_damage_never_crashes_it) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    int refused = 0;
    int tries = 0;
    for (const TiffForm& form : small_forms) {
        const PrintTags tags = small_tags(16);
        write_tiff(name, tags, form, noisy_ramp(tags, random));
        const std::vector<std::byte> whole = file_bytes(name);
        for (int i = 0; i < 150; ++i) {
            std::vector<std::byte> bytes = whole;
            const std::size_t changes = 1 + random() % 8;
            for (std::size_t c = 0; c < changes; ++c) {
                bytes[random() % bytes.size()] = static_cast<std::byte>(random() & 0xffU);
            }
            if (random() % 4 == 0) bytes.resize(random() % bytes.size());
            ++tries;
            try {
                read_back_bytes(bytes);
            } catch (const base::UnreadableInput&) {
                ++refused;
            }
        }
    }
    EXPECT_GT(refused, tries / 2);
}

TEST(tiff_read_back, a_cancelled_job_stops_it) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "print.tif";
    const PrintTags tags = small_tags(8);
    write_tiff(name, tags, small_forms[0], noisy_ramp(tags, random));
    const base::Descriptor descriptor(::open(name.c_str(), O_RDONLY | O_CLOEXEC));
    base::Progress progress;
    progress.cancel();
    EXPECT_THROW(read_back(
                     descriptor.get(), name, 1, [](int, int, std::span<const std::byte>) {}, progress),
                 base::Cancelled);
}

}  // namespace
}  // namespace hangtrue::raster
