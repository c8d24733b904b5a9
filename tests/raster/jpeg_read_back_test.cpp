// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "engine/base/error.h"
#include "tests/raster/written_files.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::Seeded;
using support::TemporaryFolder;
using testing::HasSubstr;

struct Written {
    PrintTags tags;
    std::vector<std::byte> samples;
    std::vector<std::byte> bytes;
};

Written written_jpeg(int width, int height, std::mt19937_64& random) {
    Written result;
    result.tags.size = {width, height};
    result.tags.ppi = {150};
    result.tags.icc_profile = random_bytes(60, random);
    result.tags.author = "Ada";
    result.tags.copyright = "© Ada";
    result.samples = noisy_ramp(result.tags, random);
    const TemporaryFolder folder;
    base::Faults faults;
    base::Progress progress;
    base::OutputFile file(folder.path() / "print.jpg", base::OutputFile::Existing::refuse, faults);
    write_jpeg(file, result.tags, 95, supply_of(result.samples, result.tags), progress);
    result.bytes.resize(static_cast<std::size_t>(file.size()));
    base::read_at(file.descriptor(), result.bytes, 0, "print.jpg");
    return result;
}

/// Where the bytes FF `marker` first stand.
std::size_t place_of(const std::vector<std::byte>& bytes, int marker) {
    const std::array sought{std::byte{0xff}, static_cast<std::byte>(marker)};
    return static_cast<std::size_t>(std::search(bytes.begin(), bytes.end(), sought.begin(), sought.end()) -
                                    bytes.begin());
}

bool is_noticed(const std::vector<std::byte>& bytes, const ReadBack& whole) {
    try {
        const ReadBack damaged = read_back_bytes(bytes);
        return damaged.samples != whole.samples || damaged.found.tags != whole.found.tags ||
               damaged.found.subsampled != whole.found.subsampled || !damaged.found.other_tags.empty();
    } catch (const base::UnreadableInput&) {
        return true;
    }
}

TEST(jpeg_read_back, finds_every_tag_and_samples_within_the_loss) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const Written jpeg = written_jpeg(61, 47, random);
    const ReadBack again = read_back_bytes(jpeg.bytes, 10);
    EXPECT_EQ(again.found.format, FileFormat::jpeg);
    EXPECT_EQ(again.found.tags, jpeg.tags);
    EXPECT_FALSE(again.found.subsampled);
    EXPECT_TRUE(again.found.other_tags.empty());
    EXPECT_EQ(again.found.bytes, static_cast<std::int64_t>(jpeg.bytes.size()));
    EXPECT_EQ(again.found.sha256, base::sha256(jpeg.bytes));
    ASSERT_EQ(again.samples.size(), jpeg.samples.size());
    double squares = 0;
    for (std::size_t i = 0; i < jpeg.samples.size(); ++i) {
        const int error = std::to_integer<int>(again.samples[i]) - std::to_integer<int>(jpeg.samples[i]);
        squares += error * error;
    }
    // The noise of the test picture has a standard deviation of 2.3; a swap of rows or channels would be far over.
    EXPECT_LT(squares / static_cast<double>(jpeg.samples.size()), 3 * 3);
}

TEST(jpeg_read_back, every_flipped_bit_of_its_tags_is_noticed) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    Written jpeg = written_jpeg(24, 17, random);
    const ReadBack whole = read_back_bytes(jpeg.bytes);
    const std::size_t tables = place_of(jpeg.bytes, 0xdb);
    ASSERT_LT(tables, jpeg.bytes.size());
    for (std::size_t bit = 0; bit < 8 * tables; ++bit) {
        jpeg.bytes[bit / 8] ^= static_cast<std::byte>(1U << bit % 8);
        EXPECT_TRUE(is_noticed(jpeg.bytes, whole)) << "bit " << bit;
        jpeg.bytes[bit / 8] ^= static_cast<std::byte>(1U << bit % 8);
    }
}

TEST(jpeg_read_back, every_shortening_and_lengthening_is_refused) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    Written jpeg = written_jpeg(24, 17, random);
    for (std::size_t length = 0; length < jpeg.bytes.size(); ++length) {
        EXPECT_THROW(read_back_bytes(std::span(jpeg.bytes).first(length)), base::UnreadableInput) << length;
    }
    jpeg.bytes.push_back(std::byte{0});
    EXPECT_THROW(read_back_bytes(jpeg.bytes), base::UnreadableInput);
}

TEST(jpeg_read_back, a_comment_an_adobe_segment_and_subsampling_are_told) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const Written jpeg = written_jpeg(32, 32, random);
    const std::size_t tables = place_of(jpeg.bytes, 0xdb);
    for (const int marker : {0xfe, 0xed}) {
        std::vector<std::byte> bytes = jpeg.bytes;
        const std::array segment{std::byte{0xff}, static_cast<std::byte>(marker),
                                 std::byte{0},    std::byte{4},
                                 std::byte{'h'},  std::byte{'i'}};
        bytes.insert(bytes.begin() + static_cast<std::ptrdiff_t>(tables), segment.begin(), segment.end());
        EXPECT_EQ(read_back_bytes(bytes).found.other_tags, std::vector{marker});
    }
    // Claimed sampling of 2 x 2 for the first channel: the 32 x 32 samples then look like a quarter of the blocks
    // are missing or like more than there are, so the file is refused or told as subsampled.
    std::vector<std::byte> bytes = jpeg.bytes;
    const std::size_t frame = place_of(bytes, 0xc0);
    bytes[frame + 11] = std::byte{0x22};
    EXPECT_TRUE(is_noticed(bytes, read_back_bytes(jpeg.bytes)));
}

TEST(jpeg_read_back, a_progressive_frame_is_refused) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    Written jpeg = written_jpeg(16, 16, random);
    jpeg.bytes[place_of(jpeg.bytes, 0xc0) + 1] = std::byte{0xc2};
    try {
        read_back_bytes(jpeg.bytes);
        FAIL() << "not refused";
    } catch (const base::UnreadableInput& refusal) {
        EXPECT_THAT(refusal.what(), HasSubstr("baseline"));
    }
}

TEST(jpeg_read_back, random_damage_and_random_bytes_never_crash_it) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const Written jpeg = written_jpeg(40, 40, random);
    int answered = 0;
    for (int i = 0; i < 800; ++i) {
        std::vector<std::byte> bytes = jpeg.bytes;
        if (i % 8 == 0) {
            bytes = random_bytes(2 + random() % 400, random);
            bytes[0] = i % 16 == 0 ? std::byte{0xff} : std::byte{'I'};
            bytes[1] = i % 16 == 0 ? std::byte{0xd8} : std::byte{'I'};
        }
        for (std::size_t c = 0; c < 1 + random() % 8; ++c) {
            bytes[random() % bytes.size()] = static_cast<std::byte>(random() & 0xffU);
        }
        if (random() % 4 == 0) bytes.resize(random() % bytes.size());
        try {
            read_back_bytes(bytes);
            ++answered;
        } catch (const base::UnreadableInput&) {
            ++answered;
        }
    }
    EXPECT_EQ(answered, 800);
}

}  // namespace
}  // namespace hangtrue::raster
