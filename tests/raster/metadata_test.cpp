// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/metadata.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <tiff.h>

#include <algorithm>
#include <cstring>
#include <limits>

#include "tests/raster/read_support.h"
#include "tests/support/pictures.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::TestMetadata;

const std::string copyright = "© 2026 Zoë Ångström";
const std::string author = "Zoë Ångström";

std::span<const std::byte> bytes_of(std::string_view text) { return std::as_bytes(std::span(text)); }

/// The same metadata in a TIFF of either byte order, a JPEG and a PNG.
std::vector<PictureInfo> infos_with(const TestMetadata& metadata) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "picture";
    const support::TestPicture picture = support::noise({9, 7}, 3, 8, 1);
    std::vector<PictureInfo> infos;
    for (const bool big_endian : {false, true}) {
        support::write_tiff(file, picture, {.big_endian = big_endian, .metadata = metadata});
        infos.push_back(picture_info(file));
    }
    support::write_jpeg(file, picture, {.metadata = metadata});
    infos.push_back(picture_info(file));
    support::write_png(file, picture, {.metadata = metadata});
    infos.push_back(picture_info(file));
    return infos;
}

TEST(raster_metadata, tags_and_exif_give_copyright_and_author_in_each_format) {
    for (const PictureInfo& info : infos_with({.copyright = copyright, .author = author})) {
        EXPECT_EQ(info.copyright, copyright);
        EXPECT_EQ(info.author, author);
    }
}

TEST(raster_metadata, xmp_wins_over_exif_in_each_format) {
    const std::string xmp = support::xmp_packet("All rights &#x2014; Z. &amp; Co &lt;2026&gt;", "Zo&#235;");
    for (const PictureInfo& info : infos_with({.copyright = "old", .author = "old", .xmp = xmp})) {
        EXPECT_EQ(info.copyright, "All rights — Z. & Co <2026>");
        EXPECT_EQ(info.author, "Zoë");
    }
}

TEST(raster_metadata, iptc_speaks_where_nothing_else_does) {
    auto infos = infos_with({.iptc = support::iptc_datasets(copyright, author)});
    infos.pop_back();  // PNG has no place for it.
    for (const PictureInfo& info : infos) {
        EXPECT_EQ(info.copyright, copyright);
        EXPECT_EQ(info.author, author);
    }
    for (const PictureInfo& info :
         infos_with({.copyright = "tag", .iptc = support::iptc_datasets(copyright, author)})) {
        EXPECT_EQ(info.copyright, "tag");
    }
}

TEST(raster_metadata, iptc_that_a_tiff_declares_as_32_bit_numbers_is_read) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "a.tif";
    auto datasets = support::iptc_datasets(copyright, author);
    while (datasets.size() % 4 != 0) datasets.push_back(std::byte{0});
    support::write_tiff(file, support::noise({5, 5}, 1, 8, 1),
                        {.photometric = PHOTOMETRIC_MINISBLACK, .metadata = {.iptc = datasets}});
    auto bytes = support::file_bytes(file);
    std::uint32_t directory = 0;
    std::memcpy(&directory, bytes.data() + 4, 4);
    bool found = false;
    for (std::size_t entry = directory + 2; entry + 12 <= bytes.size() && !found; entry += 12) {
        std::uint16_t tag = 0;
        std::memcpy(&tag, bytes.data() + entry, 2);
        found = tag == TIFFTAG_RICHTIFFIPTC;
        const std::uint16_t type_long = 4;
        const auto count = static_cast<std::uint32_t>(datasets.size() / 4);
        if (!found) continue;
        std::memcpy(bytes.data() + entry + 2, &type_long, 2);
        std::memcpy(bytes.data() + entry + 4, &count, 4);
    }
    ASSERT_TRUE(found);
    support::write_bytes(file, bytes);
    EXPECT_EQ(picture_info(file).copyright, copyright);
    EXPECT_EQ(picture_info(file).author, author);
}

/// What libpng takes for a profile: a header (ICC.1:2010, 7.2) and one tag, long enough not to deflate to
/// under 92 bytes, which libpng 1.6 holds for too short.
std::vector<std::byte> least_profile() {
    std::vector<std::byte> profile = support::stand_in_profile(144 + 512);
    std::fill(profile.begin(), profile.begin() + 144, std::byte{0});
    const auto put = [&](std::size_t at, std::string_view text) {
        std::memcpy(profile.data() + at, text.data(), text.size());
    };
    profile[2] = std::byte{2};  // 0x0290 = 656 bytes
    profile[3] = std::byte{0x90};
    profile[8] = std::byte{4};
    put(12, "mntrRGB XYZ ");
    put(36, "acsp");
    put(68, std::string_view("\0\0\xf6\xd6\0\1\0\0\0\0\xd3\x2d", 12));  // D50
    profile[131] = std::byte{1};
    put(132, std::string_view("desc\0\0\0\x90\0\0\2\0", 12));
    return profile;
}

TEST(raster_metadata, a_pngs_profile_comes_byte_for_byte_and_a_damaged_one_is_refused) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "a.png";
    support::write_png(file, support::noise({5, 5}, 3, 8, 1), {.metadata = {.icc_profile = least_profile()}});
    EXPECT_TRUE(picture_info(file).icc_profile == least_profile());
    auto bytes = support::file_bytes(file);
    const auto chunk = bytes_of("iCCP");
    const auto at = std::search(bytes.begin(), bytes.end(), chunk.begin(), chunk.end());
    ASSERT_NE(at, bytes.end());
    at[20] ^= std::byte{0x10};
    support::write_bytes(file, bytes);
    EXPECT_THAT(what_is_wrong(file, folder), testing::HasSubstr("its colour profile is wrong"));
}

TEST(raster_metadata, the_resolution_is_one_number_in_inches_or_none) {
    // TIFF 6.0 and JFIF 1.02: centimetres are 2.54 to the inch; a PNG says pixels a metre.
    EXPECT_EQ(stated_ppi(300, 300).value, 300);
    EXPECT_EQ(stated_ppi(300, 299.8).value, 300);  // rounded differently across and down
    EXPECT_EQ(stated_ppi(300, 150).value, 0);
    EXPECT_EQ(stated_ppi(0, 0).value, 0);
    EXPECT_EQ(stated_ppi(-72, -72).value, 0);
    EXPECT_EQ(stated_ppi(std::numeric_limits<double>::quiet_NaN(), 72).value, 0);
    EXPECT_EQ(stated_ppi(1e9, 1e9).value, 0);

    const support::TemporaryFolder folder;
    const auto jpeg = folder.path() / "a.jpg";
    support::write_jpeg(jpeg, support::noise({5, 5}, 3, 8, 1), {});
    EXPECT_EQ(picture_info(jpeg).ppi.value, 0);  // libjpeg's own JFIF says the shape of a pixel, no more
    auto bytes = support::file_bytes(jpeg);
    const auto jfif = bytes_of("JFIF");
    const auto at = std::search(bytes.begin(), bytes.end(), jfif.begin(), jfif.end());
    ASSERT_NE(at, bytes.end());
    at[7] = std::byte{2};  // the unit: centimetres
    at[9] = at[11] = std::byte{118};
    support::write_bytes(jpeg, bytes);
    EXPECT_NEAR(picture_info(jpeg).ppi.value, 118 * 2.54, 1e-9);
}

TEST(raster_metadata, png_text_chunks_speak_where_nothing_else_does) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "a.png";
    // PNG 1.2, 4.2.3: text chunks are Latin-1.
    support::write_png(file, support::noise({5, 5}, 1, 8, 1), {.text_copyright = "\xa9 2026", .text_author = "Zo\xeb"});
    EXPECT_EQ(picture_info(file).copyright, "© 2026");
    EXPECT_EQ(picture_info(file).author, "Zoë");
}

TEST(raster_metadata, profiles_come_byte_for_byte_and_a_jpegs_from_its_three_pieces) {
    // 150,000 bytes: three APP2 segments of at most 65,519. PNG's stands apart: libpng looks into it.
    const auto profile = support::stand_in_profile(150'000);
    const support::TemporaryFolder folder;
    const support::TestPicture picture = support::noise({9, 7}, 3, 8, 1);
    const auto file = folder.path() / "picture";
    support::write_tiff(file, picture, {.metadata = {.icc_profile = profile}});
    EXPECT_TRUE(picture_info(file).icc_profile == profile);
    support::write_jpeg(file, picture, {.metadata = {.icc_profile = profile}});
    EXPECT_TRUE(picture_info(file).icc_profile == profile);
}

TEST(raster_metadata, a_jpeg_that_lacks_a_piece_of_its_profile_is_refused) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "a.jpg";
    support::write_jpeg(file, support::noise({9, 7}, 3, 8, 1),
                        {.metadata = {.icc_profile = support::stand_in_profile(150'000)}});
    auto bytes = support::file_bytes(file);
    const auto wanted = bytes_of(std::string_view("ICC_PROFILE\0\2", 13));
    const auto second = std::search(bytes.begin(), bytes.end(), wanted.begin(), wanted.end());
    ASSERT_NE(second, bytes.end());
    *second = std::byte{'X'};
    support::write_bytes(file, bytes);
    EXPECT_THAT(what_is_wrong(file, folder), testing::HasSubstr("a piece of its colour profile is missing"));
}

TEST(raster_metadata, text_that_is_not_utf8_is_latin_1) {
    EXPECT_EQ(tidy_text("Zo\xeb"), "Zoë");
    EXPECT_EQ(tidy_text("Zoë"), "Zoë");
    EXPECT_EQ(tidy_text("  Zoë \0 more"), "Zoë");
    EXPECT_EQ(tidy_text("\xc0\x80"), "À\u0080");            // An overlong form is not UTF-8,
    EXPECT_EQ(tidy_text("\xed\xa0\x80"), "í\u00a0\u0080");  // nor is a surrogate.
    EXPECT_EQ(tidy_text(" \t\n"), "");
}

TEST(raster_metadata, exif_copyright_of_photographer_and_editor_gives_the_photographer) {
    EXPECT_EQ(exif_facts(support::exif_block(1, std::string("Ann\0Ed", 6), "A")).credit.copyright, "Ann");
    EXPECT_EQ(exif_facts(support::exif_block(1, std::string(" \0Ed", 4), "A")).credit.copyright, "Ed");
}

TEST(raster_metadata, several_creators_are_joined_and_the_default_language_wins) {
    const std::string packet =
        "<dc:creator><rdf:Seq><rdf:li>Ann</rdf:li><rdf:li>Bob</rdf:li></rdf:Seq></dc:creator>"
        "<dc:rights><rdf:Alt><rdf:li xml:lang='de'>Rechte</rdf:li><rdf:li "
        "xml:lang='x-default'>Rights</rdf:li></rdf:Alt></dc:rights>";
    EXPECT_EQ(credit_from_xmp(packet).author, "Ann, Bob");
    EXPECT_EQ(credit_from_xmp(packet).copyright, "Rights");
    EXPECT_EQ(credit_from_xmp("<dc:creator/><dc:rights>Plain</dc:rights>").copyright, "Plain");
    EXPECT_EQ(credit_from_xmp("<dc:rights><rdf:Alt><rdf:li>open").copyright, "");
}

TEST(raster_metadata, damaged_blocks_say_nothing_and_harm_nothing) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto exif = support::exif_block(6, copyright, author);
    const auto iptc = support::iptc_datasets(copyright, author);
    const std::string packet = support::xmp_packet(copyright, author);
    ASSERT_EQ(exif_facts(exif).orientation, 6);
    std::vector<std::byte> xmp;
    for (const char letter : packet) xmp.push_back(static_cast<std::byte>(letter));
    for (int i = 0; i < 3000; ++i) {
        for (const auto& block : {exif, iptc, xmp}) {
            // A copy of its own length, so that a read past its end is seen by the address sanitizer.
            std::vector<std::byte> bad(block.begin(),
                                       block.begin() + static_cast<std::ptrdiff_t>(random() % (block.size() + 1)));
            for (int flips = static_cast<int>(random() % 4); flips > 0 && !bad.empty(); --flips) {
                bad[random() % bad.size()] = static_cast<std::byte>(random());
            }
            const int orientation = exif_facts(bad).orientation;
            ASSERT_TRUE(orientation >= 1 && orientation <= 8);
            const Credit credit = first_of(credit_from_iptc(bad), credit_from_iptc(iptc_in_resources(bad)),
                                           credit_from_xmp({reinterpret_cast<const char*>(bad.data()), bad.size()}));
            ASSERT_LE(credit.author.size(), 2 * bad.size());
        }
    }
}

}  // namespace
}  // namespace hangtrue::raster
