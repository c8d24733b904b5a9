// SPDX-License-Identifier: Apache-2.0
// Every ordinary kind of picture gives the file that the same pixels give as a plain TIFF, sample for sample.

#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using support::TestPicture;

constexpr base::PixelSize upright_size{97, 66};

struct Kind {
    std::string name;
    int channels;
    int bits;
    std::function<void(const fs::path&, const TestPicture& stored, int orientation)> write;
    bool lossy = false;
};
void PrintTo(const Kind& kind, std::ostream* out) { *out << kind.name; }

std::string ending_of(int channels, int bits) { return (channels == 1 ? "_grey_" : "_rgb_") + std::to_string(bits); }

void add_tiffs(std::vector<Kind>& kinds) {
    struct Form {
        std::string name;
        support::TiffWish wish;
    };
    const std::vector<Form> forms{
        {"strips", {}},
        {"one_strip", {.rows_per_strip = 10000}},
        {"one_row_strips", {.rows_per_strip = 1}},
        {"tiles", {.tile_side = 32}},
        {"lzw", {.compression = COMPRESSION_LZW}},
        {"lzw_differences_one_strip", {.compression = COMPRESSION_LZW, .predictor = 2, .rows_per_strip = 10000}},
        {"deflate_differences", {.compression = COMPRESSION_ADOBE_DEFLATE, .predictor = 2}},
        {"deflate_tiles", {.compression = COMPRESSION_ADOBE_DEFLATE, .tile_side = 48}},
        {"packbits", {.compression = COMPRESSION_PACKBITS}},
        {"planes", {.separate_planes = true}},
        {"big_endian", {.big_endian = true}},
        {"big_tiff", {.big_tiff = true}},
        {"two_pages", {.extra_page = true}},
    };
    for (const Form& form : forms) {
        for (const int channels : {1, 3}) {
            for (const int bits : {8, 16}) {
                kinds.push_back({"tiff_" + form.name + ending_of(channels, bits), channels, bits,
                                 [wish = form.wish, channels](const fs::path& file, const TestPicture& stored,
                                                              int orientation) mutable {
                                     wish.orientation = orientation;
                                     wish.photometric = channels == 1 ? PHOTOMETRIC_MINISBLACK : PHOTOMETRIC_RGB;
                                     support::write_tiff(file, stored, wish);
                                 }});
            }
        }
    }
}

void add_jpegs(std::vector<Kind>& kinds) {
    struct Form {
        std::string name;
        support::JpegWish wish;
    };
    const std::vector<Form> forms{{"baseline", {}},
                                  {"progressive", {.progressive = true}},
                                  {"subsampled", {.subsampled = true}},
                                  {"progressive_subsampled", {.progressive = true, .subsampled = true}},
                                  {"restarts", {.restart_rows = 1}}};
    for (const Form& form : forms) {
        for (const int channels : {1, 3}) {
            kinds.push_back(
                {"jpeg_" + form.name + ending_of(channels, 8), channels, 8,
                 [wish = form.wish](const fs::path& file, const TestPicture& stored, int orientation) mutable {
                     wish.orientation = orientation;
                     support::write_jpeg(file, stored, wish);
                 },
                 true});
        }
    }
}

void add_pngs(std::vector<Kind>& kinds) {
    for (const bool interlaced : {false, true}) {
        for (const int channels : {1, 3}) {
            for (const int bits : {8, 16}) {
                kinds.push_back(
                    {std::string(interlaced ? "png_interlaced" : "png") + ending_of(channels, bits), channels, bits,
                     [interlaced](const fs::path& file, const TestPicture& stored, int orientation) {
                         support::write_png(file, stored, {.interlaced = interlaced, .orientation = orientation});
                     }});
            }
        }
    }
}

std::vector<Kind> all_kinds() {
    std::vector<Kind> kinds;
    add_tiffs(kinds);
    add_jpegs(kinds);
    add_pngs(kinds);
    return kinds;
}

/// The stored picture turned upright, by trying each upright pixel's stored place: the inverse of stored_as.
TestPicture upright_of(const TestPicture& stored, int orientation) {
    // Turning by a quarter to the left is undone by one to the right; the other orientations undo themselves.
    const int inverse = orientation == 6 ? 8 : orientation == 8 ? 6 : orientation;
    return support::stored_as(stored, inverse);
}

class every_kind : public testing::TestWithParam<Kind> {};

// ./check gives each kind one orientation, all eight in turn; ./check --full all eight to each.
TEST_P(every_kind, gives_the_samples_that_a_plain_tiff_gives) {
    const Kind& kind = GetParam();
    const auto kinds = all_kinds();
    const auto number =
        std::find_if(kinds.begin(), kinds.end(), [&](const Kind& other) { return other.name == kind.name; }) -
        kinds.begin();
    // One in nine: all channels, bits and orientations among them.
    if (HANGTRUE_UNDER_TSAN && number % 9 != 0) GTEST_SKIP() << "the other sanitizer reads every kind";
    Workroom room;
    const TestPicture upright = scene(upright_size, kind.channels, kind.bits);
    // 16 bits out: nothing that differs in the picture is hidden by rounding to 8.
    const Words words{{"bits", "16"}, {"format", "tiff"}};
    for (int orientation = 1; orientation <= 8; ++orientation) {
        if (!in_full() && orientation != 1 + number % 8) continue;
        SCOPED_TRACE("orientation " + std::to_string(orientation));
        const fs::path file = room.pictures() / "picture.any";
        kind.write(file, support::stored_as(upright, orientation), orientation);
        const TestPicture decoded = kind.lossy ? upright_of(support::decoded_jpeg(file), orientation) : upright;
        const fs::path plain = room.tiff("plain.tif", decoded);

        const jobs::MadeFile of_plain = room.made(plain, words);
        const jobs::MadeFile made = room.made(file, words);
        EXPECT_TRUE(made.verified);
        EXPECT_EQ(made.plan.picture.size, upright_size);
        const TestPicture samples = read_tiff(made.file);
        EXPECT_EQ(samples.size, (base::PixelSize{180, 120}));
        EXPECT_TRUE(samples == read_tiff(of_plain.file));
        jobs::Context context = room.context();
        EXPECT_TRUE(jobs::verify(made.file, std::nullopt, context).matches);
    }
}

INSTANTIATE_TEST_SUITE_P(ordinary, every_kind, testing::ValuesIn(all_kinds()),
                         [](const auto& kind) { return kind.param.name; });

class grey_picture : public testing::TestWithParam<int> {};

void expect_neutral(const TestPicture& picture) {
    ASSERT_EQ(picture.channels, 3);
    for (std::size_t i = 0; i < picture.samples.size(); i += 3) {
        ASSERT_EQ(picture.samples[i], picture.samples[i + 1]) << "pixel " << i / 3;
        ASSERT_EQ(picture.samples[i], picture.samples[i + 2]) << "pixel " << i / 3;
    }
}

TEST_P(grey_picture, of_one_channel_or_of_three_equal_ones_gives_equal_channels) {
    const int bits = GetParam();
    Workroom room;
    const TestPicture grey = scene(upright_size, 1, bits);
    TestPicture neutral{grey.size, 3, bits, {}};
    for (const std::uint16_t sample : grey.samples) neutral.samples.insert(neutral.samples.end(), 3, sample);
    const auto profile = colour::Profile::adobe_rgb().bytes();
    support::TiffWish in_adobe_rgb;
    in_adobe_rgb.metadata.icc_profile.assign(profile.begin(), profile.end());
    const std::vector<fs::path> pictures{room.tiff("one.tif", grey), room.tiff("three.tif", neutral),
                                         room.tiff("adobe.tif", neutral, in_adobe_rgb)};
    for (const fs::path& picture : pictures) {
        for (const std::string file_bits : {"8", "16"}) {
            SCOPED_TRACE(picture.filename().string() + " to " + file_bits);
            const jobs::MadeFile made = room.made(picture, {{"bits", file_bits}});
            EXPECT_TRUE(made.plan.picture.is_neutral);
            expect_neutral(read_tiff(made.file));
        }
    }
}

INSTANTIATE_TEST_SUITE_P(of_bits, grey_picture, testing::Values(8, 16));

}  // namespace
}  // namespace hangtrue::jobs_test
