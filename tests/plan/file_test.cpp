// SPDX-License-Identifier: Apache-2.0
/// Format, depth, compression and name of the print file.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "engine/base/error.h"
#include "engine/plan/file_choice.h"
#include "engine/plan/file_name.h"
#include "engine/text/letters.h"
#include "tests/plan/example.h"
#include "tests/support/random.h"

namespace hangtrue::plan {
namespace {

using base::InvalidWish;
using example::metal;
using example::plan;
using example::wish;
using raster::FileFormat;
using raster::TiffCompression;
using testing::HasSubstr;
using testing::ThrowsMessage;

PlannedFile file_of(const Wish& asked, const shops::Medium& medium) { return plan(asked, medium).file; }

TEST(plan_file_choice, the_deepest_uncompressed_tiff_that_the_shop_takes) {
    const auto file = file_of(wish(36, 24), metal());
    EXPECT_EQ(file.format, FileFormat::tiff);
    EXPECT_EQ(file.bits, 16);
    EXPECT_EQ(file.compression, TiffCompression::none);
    EXPECT_THAT(file.format_reason, HasSubstr("because the shop takes it"));
}

TEST(plan_file_choice, untold_depth_is_8_and_untold_format_is_jpeg) {
    auto medium = metal();
    medium.rules.tiff_bits.reset();
    EXPECT_EQ(file_of(wish(36, 24), medium).bits, 8);
    medium.rules.formats.clear();
    EXPECT_EQ(file_of(wish(36, 24), medium).format, FileFormat::jpeg);
    EXPECT_THAT(file_of(wish(36, 24), medium).format_reason, HasSubstr("has not said"));
}

TEST(plan_file_choice, compression_only_where_none_is_not_taken) {
    auto medium = metal();
    medium.rules.tiff_compressions = {"deflate", "lzw"};
    EXPECT_EQ(file_of(wish(36, 24), medium).compression, TiffCompression::lzw);
}

// 5400 x 3600 px are 116,640,000 bytes of 16 bits and 58,320,000 of 8.
TEST(plan_file_choice, a_byte_limit_leads_to_8_bits_then_to_jpeg) {
    auto medium = metal();
    medium.rules.most_bytes = 100'000'000;
    EXPECT_EQ(file_of(wish(36, 24), medium).bits, 8);
    medium.rules.most_bytes = 50'000'000;
    const auto file = file_of(wish(36, 24), medium);
    EXPECT_EQ(file.format, FileFormat::jpeg);
    EXPECT_EQ(file.most_bytes, 50'000'000);
    EXPECT_THAT(file.format_reason, HasSubstr("larger than the shop takes"));
    medium.rules.formats = {"tiff"};
    medium.rules.tiff_compressions = {"none"};
    EXPECT_EQ(file_of(wish(36, 24), medium).format,
              FileFormat::tiff);  // Planned, for a check to stop.
}

TEST(plan_file_choice, a_tiff_over_the_limit_is_compressed_where_there_is_no_jpeg) {
    auto medium = metal();
    medium.rules.most_bytes = 50'000'000;
    medium.rules.formats = {"tiff"};
    medium.rules.tiff_compressions = {"none", "lzw", "deflate"};
    const auto file = file_of(wish(36, 24), medium);
    EXPECT_EQ(file.format, FileFormat::tiff);
    EXPECT_EQ(file.bits, 8);
    EXPECT_EQ(file.compression, TiffCompression::deflate);
    EXPECT_THAT(file.format_reason, HasSubstr("without compression it would be larger than the shop takes"));
    medium.rules.tiff_compressions = {"none", "lzw"};
    EXPECT_EQ(file_of(wish(36, 24), medium).compression, TiffCompression::lzw);
    Wish plain = wish(36, 24);
    plain.compression = "none";
    EXPECT_EQ(file_of(plain, medium).compression, TiffCompression::none);  // Asked for: a check stops it.
    medium.rules.most_bytes = 60'000'000;
    EXPECT_EQ(file_of(wish(36, 24), medium).compression, TiffCompression::none);
}

TEST(plan_file_choice, wishes_that_the_shop_does_not_take_name_what_it_takes) {
    auto medium = metal();
    medium.rules.formats = {"jpeg"};
    Wish tiff = wish(36, 24);
    tiff.format = FormatWish::tiff;
    EXPECT_THAT([&] { plan(tiff, medium); }, ThrowsMessage<InvalidWish>(HasSubstr("takes no TIFF")));
    Wish deep = wish(36, 24);
    deep.bits = 16;
    EXPECT_THAT([&] { plan(deep, medium); }, ThrowsMessage<InvalidWish>(HasSubstr("only JPEG")));
    auto shallow = metal();
    shallow.rules.tiff_bits = {8};
    EXPECT_THAT([&] { plan(deep, shallow); }, ThrowsMessage<InvalidWish>(HasSubstr("only of 8")));
    Wish deflate = wish(36, 24);
    deflate.compression = "deflate";
    EXPECT_THAT([&] { plan(deflate, metal()); }, ThrowsMessage<InvalidWish>(HasSubstr("only none or lzw")));
    deflate.compression = "zip";
    EXPECT_THAT([&] { plan(deflate, metal()); }, ThrowsMessage<InvalidWish>(HasSubstr("none, lzw or deflate")));
    Wish jpeg = wish(36, 24);
    jpeg.format = FormatWish::jpeg;
    jpeg.bits = 16;
    EXPECT_THAT([&] { plan(jpeg, metal()); }, ThrowsMessage<InvalidWish>(HasSubstr("JPEG has 8 bits")));
}

raster::PrintTags tags_of(base::PixelSize size) { return size_tags(size, 8, {300}, 588, "", ""); }

// 36000 x 28000 px of 16 bits are 6.05 GB; a classic TIFF ends at 2^32 - 1 bytes.
TEST(plan_file_choice, past_4_gib_a_tiff_is_big_where_taken_else_8_bits_or_refused_with_ways_out) {
    auto medium = metal();
    EXPECT_EQ(chosen_file({}, medium, tags_of({36000, 28000})).bits, 8);
    medium.rules.big_tiff = true;
    const auto big = chosen_file({}, medium, tags_of({36000, 28000}));
    EXPECT_TRUE(big.big_tiff);
    EXPECT_EQ(big.bits, 16);
    medium.rules.big_tiff = false;
    Wish deep;
    deep.bits = 16;
    EXPECT_THAT(
        [&] {
            chosen_file(deep, medium, tags_of({36000, 28000}));
        },
        ThrowsMessage<InvalidWish>(testing::AllOf(HasSubstr("6.05 GB"), HasSubstr("--bits 8"),
                                                  HasSubstr("--format jpeg"), HasSubstr("BigTIFF"))));
}

TEST(plan_file_choice, a_jpeg_ends_at_65500_px) {
    Wish jpeg;
    jpeg.format = FormatWish::jpeg;
    EXPECT_EQ(chosen_file(jpeg, metal(), tags_of({65500, 100})).format, FileFormat::jpeg);
    EXPECT_THAT(
        [&] {
            chosen_file(jpeg, metal(), tags_of({65501, 100}));
        },
        ThrowsMessage<InvalidWish>(HasSubstr("65500")));
}

NameParts parts() {
    return {.picture = "Ridge at dawn.tif",
            .shop = "quillfen",
            .medium = "metal",
            .size = {base::inches(36), base::inches(24)},
            .width_px = 5400,
            .height_px = 3600,
            .ppi = {150},
            .panel = 1,
            .panels = 1,
            .quantity = 2};
}

TEST(plan_file_name, without_a_rule_it_says_picture_size_and_medium) {
    EXPECT_EQ(file_name({}, parts(), ".tif"), "Ridge at dawn 36x24in metal.tif");
}

TEST(plan_file_name, every_word_of_a_rule_is_filled_in) {
    shops::FileRules rules;
    rules.name_rule = "{shop}_{picture}_{size}_{width_px}x{height_px}_{ppi}_{panel}_{quantity}_{medium}.tif";
    EXPECT_EQ(file_name(rules, parts(), ".jpg"), "quillfen_Ridge at dawn_36x24in_5400x3600_150_1of1_2_metal.jpg");
    rules.name_rule = "{pictur}";
    EXPECT_THAT([&] { file_name(rules, parts(), ".tif"); },
                ThrowsMessage<InvalidWish>(HasSubstr("Did you mean {picture}?")));
    rules.name_rule = "{picture";
    EXPECT_THROW(file_name(rules, parts(), ".tif"), InvalidWish);
}

TEST(plan_file_name, letters_are_folded_and_paths_cannot_be) {
    NameParts wild = parts();
    wild.picture = "../\u00dcbersee: \u0141\u00f3d\u017a/2\\3.tif";
    EXPECT_EQ(file_name({}, wild, ".tif"), "_Ubersee_ Lodz_2_3 36x24in metal.tif");
    wild.picture = "\u5c71.tif";
    EXPECT_EQ(file_name({}, wild, ".tif"), "_ 36x24in metal.tif");
    shops::FileRules rules;
    rules.ascii_names = false;
    EXPECT_EQ(file_name(rules, wild, ".tif"), "\u5c71 36x24in metal.tif");
}

TEST(plan_file_name, a_long_picture_name_gives_way_and_panels_stay_apart) {
    shops::FileRules rules;
    rules.most_name_length = 40;
    NameParts longer = parts();
    longer.picture = std::string(200, 'a');
    longer.panels = 3;
    longer.panel = 2;
    const auto name = file_name(rules, longer, ".tif");
    EXPECT_EQ(name.size(), 40U);
    EXPECT_THAT(name, HasSubstr("36x24in metal 2of3.tif"));
}

TEST(plan_file_name, how_the_edges_are_made_is_told_as_the_rule_parts_its_words) {
    shops::FileRules rules;
    rules.name_rule = "{picture}_{size}";
    NameParts canvas = parts();
    canvas.wrap = WrapWish{WrapFill::mirror, {}};
    EXPECT_EQ(file_name(rules, canvas, ".tif"), "Ridge at dawn_36x24in_mirror-wrap.tif");
    canvas.wrap = WrapWish{WrapFill::round, {}};
    EXPECT_EQ(file_name({}, canvas, ".tif"), "Ridge at dawn 36x24in metal round-wrap.tif");
    canvas.wrap = WrapWish{WrapFill::colour, {{0x1a, 0x2b, 0x3c}}};
    canvas.panels = 3;
    EXPECT_EQ(file_name(rules, canvas, ".tif"), "Ridge at dawn_36x24in_wrap-1A2B3C_1of3.tif");
    NameParts bordered = parts();
    bordered.border = BorderWish{base::Edges<base::Millimetres>::all({20}), {}};
    EXPECT_EQ(file_name(rules, bordered, ".tif"), "Ridge at dawn_36x24in_border-20mm.tif");
    bordered.border = BorderWish{{{20}, {12.7}, {60}, {20}}, {{9, 9, 9}}};
    EXPECT_EQ(file_name(rules, bordered, ".tif"), "Ridge at dawn_36x24in_border-20-12.7-60-20mm-090909.tif");
    // Round the bars the border's own colour runs on; another wrap, made by the shop, is told beside it.
    bordered.wrap = WrapWish{WrapFill::colour, {{9, 9, 9}}};
    EXPECT_EQ(file_name(rules, bordered, ".tif"), "Ridge at dawn_36x24in_border-20-12.7-60-20mm-090909.tif");
    bordered.wrap->fill = WrapFill::mirror;
    EXPECT_EQ(file_name(rules, bordered, ".tif"),
              "Ridge at dawn_36x24in_mirror-wrap-border-20-12.7-60-20mm-090909.tif");
    bordered.wrap.reset();
    rules.name_rule = "{edges}-{picture}";
    EXPECT_EQ(file_name(rules, bordered, ".tif"), "border-20-12.7-60-20mm-090909-Ridge at dawn.tif");
    EXPECT_EQ(file_name(rules, parts(), ".tif"), "plain-Ridge at dawn.tif");
}

TEST(plan_file_name, where_the_shop_takes_32_characters_the_edges_are_told_in_brief) {
    shops::FileRules rules;
    rules.most_name_length = 32;
    NameParts canvas = parts();
    canvas.wrap = WrapWish{WrapFill::mirror, {}};
    const auto mirrored = file_name(rules, canvas, ".tif");
    EXPECT_EQ(mirrored, "Ridge at da 36x24in metal mw.tif");
    canvas.wrap->fill = WrapFill::round;
    EXPECT_EQ(file_name(rules, canvas, ".tif"), "Ridge at da 36x24in metal rw.tif");
    // Where 16 are taken a mark of three letters still tells one colour from another.
    rules.most_name_length = 16;
    canvas.wrap = WrapWish{WrapFill::colour, {{1, 2, 3}}};
    const auto one = file_name(rules, canvas, ".tif");
    canvas.wrap->colour = {{1, 2, 4}};
    const auto other = file_name(rules, canvas, ".tif");
    EXPECT_EQ(one.size(), 16U);
    EXPECT_EQ(other.size(), 16U);
    EXPECT_NE(one, other);
}

TEST(plan_file_name, prints_that_differ_in_wrap_or_border_alone_have_names_of_their_own) {
    std::vector<std::string> names;
    for (const auto& fill : {WrapFill::round, WrapFill::mirror, WrapFill::colour}) {
        Wish wrapped = wish(24, 16);
        wrapped.wrap = WrapWish{fill, {{1, 2, 3}}};
        names.push_back(file_of(wrapped, example::canvas()).name);
    }
    for (const double width : {10, 20}) {
        Wish bordered = wish(24, 16);
        bordered.border = BorderWish{base::Edges<base::Millimetres>::all({width}), {}};
        names.push_back(file_of(bordered, metal()).name);
    }
    names.push_back(file_of(wish(24, 16), metal()).name);
    EXPECT_EQ(std::set<std::string>(names.begin(), names.end()).size(), names.size());
    // The medium's own way, which was not asked for, is told too.
    EXPECT_THAT(file_of(wish(24, 16), example::canvas()).name, HasSubstr("mirror-wrap"));
}

TEST(plan_file_name, any_bytes_make_a_safe_name) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int round = 0; round < 3000; ++round) {
        NameParts wild = parts();
        wild.picture.clear();
        for (auto length = random() % 60; length > 0; --length) wild.picture += static_cast<char>(random() % 256);
        shops::FileRules rules;
        rules.name_rule = random() % 2 == 0 ? "{picture}" : "";
        rules.ascii_names = random() % 2 == 0;
        if (random() % 2 == 0) rules.most_name_length = 12 + static_cast<int>(random() % 40);
        if (random() % 2 == 0) wild.wrap = WrapWish{static_cast<WrapFill>(random() % 3), {}};
        if (!wild.wrap && random() % 2 == 0) wild.border = BorderWish{base::Edges<base::Millimetres>::all({20}), {}};
        const auto name = file_name(rules, wild, ".tif");
        ASSERT_TRUE(text::is_utf8(name));
        ASSERT_GT(name.size(), 4U);
        ASSERT_LE(name.size(), 124U);
        ASSERT_TRUE(name.front() != '.' && name.front() != '-' && name.front() != ' ') << name;
        ASSERT_EQ(name.find_first_of("/\\:*?\"<>|\n"), std::string::npos) << name;
        if (rules.ascii_names.value()) {
            ASSERT_EQ(text::ascii_folded(name), name);
        }
        if (rules.most_name_length && rules.ascii_names.value()) {
            ASSERT_LE(name.size(), static_cast<std::size_t>(*rules.most_name_length)) << name;
        }
    }
}

}  // namespace
}  // namespace hangtrue::plan
