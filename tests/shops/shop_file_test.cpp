// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/shop_file.h"

#include <gtest/gtest.h>

#include <fstream>
#include <random>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/shops/money.h"
#include "engine/shops/questions.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::shops {
namespace {

/// A whole shop; a test changes one line of it. The line numbers stand at the side.
constexpr std::string_view sample =
    "format = 1\n"                                      // 1
    "name = \"Sample\"\n"                               // 2
    "currency = \"EUR\"\n"                              // 3
    "days = 5\n"                                        // 4
    "postage = 9.90\n"                                  // 5
    "[[medium]]\n"                                      // 6
    "id = \"canvas\"\n"                                 // 7
    "name = \"Canvas\"\n"                               // 8
    "blur = \"canvas\"\n"                               // 9
    "ppi = { least = 60, wanted = 100, most = 150 }\n"  // 10
    "pixels = \"shape\"\n"                              // 11
    "shape_tolerance = 0.02\n"                          // 12
    "file_space = \"srgb\"\n"                           // 13
    "wrap = { maker = \"photographer\", bar_depth = \"38 mm\", back_fold = \"12 mm\", made_from = "
    "[\"round\"] }\n"                                           // 14
    "safe_area = \"10 mm\"\n"                                   // 15
    "same_process_for_all_sizes = true\n"                       // 16
    "[medium.file]\n"                                           // 17
    "formats = [\"tiff\", \"jpeg\"]\n"                          // 18
    "tiff_bits = [8, 16]\n"                                     // 19
    "most_bytes = \"1.5 GB\"\n"                                 // 20
    "name_rule = \"{picture}_{size}\"\n"                        // 21
    "[[medium.size]]\n"                                         // 22
    "name = \"24 x 16\"\n"                                      // 23
    "finished = \"600 x 400 mm\"\n"                             // 24
    "file = \"700 x 500 mm\"\n"                                 // 25
    "price = \"89.5\"\n"                                        // 26
    "[medium.free_sizes]\n"                                     // 27
    "least_side = \"20 cm\"\n"                                  // 28
    "most_short_side = \"1 m\"\n"                               // 29
    "most_long_side = \"2 m\"\n"                                // 30
    "[[medium]]\n"                                              // 31
    "id = \"paper\"\n"                                          // 32
    "name = \"Paper\"\n"                                        // 33
    "blur = \"silver-halide\"\n"                                // 34
    "ppi = 300\n"                                               // 35
    "bleed = { place = \"outside\", every_side = \"3 mm\" }\n"  // 36
    "[[medium.size]]\n"                                         // 37
    "name = \"A4\"\n"                                           // 38
    "finished = \"297 x 210 mm\"\n";                            // 39

std::string with(std::string_view from, std::string_view to) {
    std::string text(sample);
    const std::size_t at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    return text.replace(at, from.size(), to);
}

/// What is wrong once `from` is replaced by `to`; "" when nothing is.
std::string complaint(std::string_view from, std::string_view to) {
    try {
        shop_from_text(with(from, to), "sample.toml");
    } catch (const base::UnreadableInput& error) {
        const std::string what = error.what();
        const std::string opening = "sample.toml, line ";
        EXPECT_TRUE(what.starts_with(opening)) << what;
        return what.substr(std::min(opening.size(), what.size()));
    }
    return "";
}

TEST(shop_file, everything_that_is_told_is_read) {
    const Shop shop = shop_from_text(sample, "folder/sample.toml");
    EXPECT_EQ(shop.id, "sample");
    EXPECT_EQ(shop.currency, "EUR");
    EXPECT_EQ(shop.postage->cents, 990);
    EXPECT_FALSE(shop.smallest_order.has_value());
    ASSERT_EQ(shop.media.size(), 2U);
    const Medium& canvas = shop.media[0];
    EXPECT_EQ(canvas.ppi.least->value, 60);
    EXPECT_EQ(canvas.ppi.wanted.value, 100);
    EXPECT_EQ(canvas.ppi.most->value, 150);
    EXPECT_EQ(canvas.shape_tolerance, 0.02);
    EXPECT_EQ(canvas.wrap->back_fold.value, 12);
    EXPECT_FALSE(canvas.wrap->corner_squares.has_value());
    EXPECT_EQ(canvas.safe_area->value, 10);
    EXPECT_EQ(*canvas.rules.most_bytes, 1'500'000'000);
    EXPECT_EQ(canvas.rules.formats, (std::vector<std::string>{"tiff", "jpeg"}));
    EXPECT_EQ(canvas.sizes[0].price->cents, 8950);
    EXPECT_EQ(canvas.sizes[0].file->width.value, 700);
    EXPECT_EQ(canvas.free_sizes->most_long_side.value, 2000);
    const Medium& paper = shop.media[1];
    EXPECT_EQ(paper.ppi.wanted.value, 300);
    EXPECT_FALSE(paper.ppi.least || paper.ppi.most);
    EXPECT_FALSE(paper.file_space.has_value());
    EXPECT_FALSE(paper.told.pixel_rule || paper.told.base || paper.told.name_rule || paper.told.shape_tolerance);
    EXPECT_EQ(paper.bleed->widths.left.value, 3);
}

struct Mistake {
    std::string_view from;
    std::string_view to;
    std::string_view complaint;
};

// One line for each rule of the shop file, with the place that the message names.
constexpr Mistake mistakes[] = {
    {"format = 1", "format = 2",
     "1, column 10: this file has format 2, but this version of Hangtrue reads formats up to 1. A "
     "newer version is needed to read it."},
    {"format = 1\n", "", "1, column 1: the file must begin with the line: format = 1"},
    {"days", "dyas", "4, column 1: unknown key \"dyas\". Did you mean \"days\"?"},
    {"days = 5", "days = 400", "4, column 8: \"days\" must be from 0 to 365, not 400."},
    {"\"EUR\"", "\"Euro\"", "3, column 12: \"Euro\" is no currency. Write its three letters: \"EUR\", \"USD\"."},
    {"name = \"Sample\"\n", "", "1, column 1: \"name\" is missing."},
    {"\"Sample\"", "\" \"", "2, column 8: \"name\" must not be empty."},
    {"9.90", "9.905", "5, column 11: \"9.905\" is no price. Write it with a point and two decimals: \"24.90\"."},
    {"9.90", "-1", "5, column 11: \"-1\" is no price. Write it with a point and two decimals: \"24.90\"."},
    {"9.90", "\"9,90\"", "5, column 11: \"9,90\" is no price. Write it with a point and two decimals: \"24.90\"."},
    {"id = \"canvas\"", "id = \"My Canvas\"",
     "7, column 6: \"My Canvas\" is no id: write small letters, digits and hyphens, as in "
     "\"brushed-metal\"."},
    {"id = \"paper\"", "id = \"canvas\"", "32, column 6: there are two media with the id \"canvas\"."},
    {"name = \"Paper\"", "name = \"Canvas\"", "33, column 8: there are two media called \"Canvas\"."},
    {"blur = \"canvas\"", "blur = \"cavnas\"",
     "9, column 8: \"cavnas\" is no known \"blur\". Did you mean \"canvas\"?"},
    {"blur = \"canvas\"\n", "", "6, column 1: \"blur\" is missing."},
    {"ppi = {", "pip = {", "10, column 1: unknown key \"pip\". Did you mean \"ppi\"?"},
    {"wanted = 100", "wnated = 100", "10, column 21: unknown key \"wnated\". Did you mean \"wanted\"?"},
    {"least = 60", "least = 101", "10, column 17: the least ppi is larger than the wanted one."},
    {"most = 150", "most = 99", "10, column 42: the most ppi is smaller than the wanted one."},
    {"wanted = 100", "wanted = 0", "10, column 30: \"wanted\" must be from 10 to 2400, not 0."},
    {"pixels = \"shape\"", "pixels = \"exact\"", "12, column 19: pixels that must be exact have no tolerance."},
    {"0.02", "0.3", "12, column 19: \"shape_tolerance\" must be from 0 to 0.2, not 0.3."},
    {"\"srgb\"", "\"rgb\"", "13, column 14: \"rgb\" is no known \"file_space\". Did you mean \"srgb\"?"},
    {"\"srgb\"", "\"print_profile\"",
     "13, column 14: the file is to be in the print profile, but there is no \"print_profile\"."},
    {"\"photographer\"", "\"me\"", "14, column 18: \"me\" is no known \"maker\". Write \"shop\" or \"photographer\"."},
    {"\"38 mm\"", "\"38\"", "14, column 46: \"38\" is not a length. Write it with its unit: \"38 mm\", \"1.5 in\"."},
    {"\"38 mm\"", "\"0 mm\"",
     "14, column 46: \"bar_depth\" must be from 5 mm to 150 mm (0.197 to 5.906 in), not \"0 mm\"."},
    {"[\"round\"]", "[\"round\", \"round\"]", "14, column 98: \"round\" is there twice."},
    {"[\"round\"]", "[\"color\"]", "14, column 89: \"color\" is no known word. Did you mean \"colour\"?"},
    {"[\"round\"]", "[]", "14, column 88: \"made_from\" is empty: leave it out while the shop has not told."},
    {"\"10 mm\"", "\"400 mm\"",
     "15, column 13: \"safe_area\" must be from 0 mm to 300 mm (0 to 11.811 in), not \"400 mm\"."},
    {"\"10 mm\"", "\"200 mm\"", "24, column 12: the bleed or safe area leaves nothing of this size."},
    {"\"tiff\", \"jpeg\"", "\"tif\"", "18, column 12: \"tif\" is no known word. Did you mean \"tiff\"?"},
    {"\"tiff\", \"jpeg\"", "\"jpeg\"", "19, column 13: \"tiff_bits\" is about TIFF, which the shop does not take."},
    {"\"tiff\", \"jpeg\"", "", "18, column 11: this list is empty: leave it out while the shop has not told."},
    {"[8, 16]", "[8, 12]", "19, column 17: a TIFF is written with 8 or 16 bits a channel, not 12."},
    {"[8, 16]", "[8, 8]", "19, column 17: 8 is there twice."},
    {"\"1.5 GB\"", "\"1.5\"",
     "20, column 14: \"1.5\" is no size of a file. Write it with its unit: \"500 MB\", \"2 GB\"."},
    {"\"1.5 GB\"", "\"-2 GB\"",
     "20, column 14: \"-2 GB\" is no size of a file. Write it with its unit: \"500 MB\", \"2 "
     "GB\"."},
    {"{size}", "{sice}", "21, column 13: a name knows no {sice}. Did you mean {size}?"},
    {"{size}", "{size", "21, column 13: a \"{\" without its \"}\"."},
    {"_{size}", "/{size}", "21, column 13: a file's name can hold no slash and no control character."},
    {"\"600 x 400 mm\"", "\"600 mm\"",
     "24, column 12: \"600 mm\" is not a size. Write both sides and their unit: \"36 x 24 in\"."},
    {"\"600 x 400 mm\"", "\"600 x 5 mm\"",
     "24, column 12: \"600 x 5 mm\" is no size for a print: each side must be from 20 mm (0.787 in) "
     "to 20 m (65.6 ft)."},
    {"\"700 x 500 mm\"", "\"500 x 700 mm\"",
     "25, column 8: the file's sides stand the other way round than the finished size's."},
    {"\"700 x 500 mm\"", "\"700 x 502 mm\"",
     "25, column 8: the file's size does not agree with the finished size and the bleed or wrap: "
     "they make 700 x 500 mm (27.559 x 19.685 in)."},
    {"\"20 cm\"", "\"2 m\"", "29, column 19: \"most_short_side\" is less than \"least_side\"."},
    {"\"2 m\"", "\"50 cm\"", "30, column 18: \"most_long_side\" is less than \"most_short_side\"."},
    {"\"outside\"", "\"out\"",
     "36, column 19: \"out\" is no known \"place\". Write \"none\", \"outside\" or \"inside\"."},
    {"\"outside\"", "\"none\"", "36, column 19: there is no bleed, but its width is given."},
    {"every_side = \"3 mm\"", "top = \"3 mm\"",
     "36, column 19: the bleed's width is missing: write \"every_side\", or \"top\", \"right\", "
     "\"bottom\" and \"left\"."},
    {"\"3 mm\"", "\"0 mm\"", "36, column 19: the bleed is nothing on every side: write place = \"none\"."},
    {"[[medium.size]]\nname = \"A4\"\nfinished = \"297 x 210 mm\"\n", "",
     "31, column 1: the medium \"paper\" has no size: add [[medium.size]] or [medium.free_sizes]."},
    {"finished = \"297 x 210 mm\"\n",
     "finished = \"297 x 210 mm\"\n[[medium.size]]\nname = \"A4 upright\"\nfinished = \"210 x 297 "
     "mm\"\n",
     "42, column 12: this size is there already, as \"A4\". A size printed another way belongs to "
     "another medium."},
    {"finished = \"297 x 210 mm\"\n",
     "finished = \"297 x 210 mm\"\n[[medium.size]]\nname = \"A4\"\nfinished = \"210 x 200 mm\"\n",
     "41, column 8: there are two sizes called \"A4\"."},
    {"price = \"89.5\"\n",
     "process = \"A\"\n[[medium.size]]\nname = \"B\"\nfinished = \"60 x 60 cm\"\nprocess = \"B\"\n",
     "16, column 30: the sizes name different processes, so they are not all printed the same "
     "way."},
};

TEST(shop_file, each_mistake_is_named_with_its_line_and_column) {
    EXPECT_EQ(complaint("EUR", "EUR"), "");
    for (const Mistake& mistake : mistakes) EXPECT_EQ(complaint(mistake.from, mistake.to), mistake.complaint);
}

TEST(shop_file, a_shop_may_be_begun_without_media_and_asks_for_them) {
    const Shop shop = shop_from_text("format = 1\nname = \"A\"\ncurrency = \"EUR\"\n", "a.toml");
    EXPECT_TRUE(shop.media.empty());
    EXPECT_NE(letter(shop).find("What do you print on"), std::string::npos);
}

TEST(shop_file, two_thousand_mutations_of_the_demo_files_load_or_are_refused) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto below = [&](std::size_t count) { return static_cast<std::size_t>(random() % count); };
    int loaded = 0;
    int refused = 0;
    for (const char* name : {"/data/shops/quillfen.toml", "/data/shops/marrow-tine.toml"}) {
        const std::string original = base::read_whole_file(std::string(HANGTRUE_SOURCE_DIR) + name, 1'000'000);
        for (int i = 0; i < 1000; ++i) {
            std::string text = original;
            for (std::size_t changes = 1 + below(3); changes > 0; --changes) {
                const std::size_t at = below(text.size());
                switch (below(5)) {
                    case 0: text[at] = static_cast<char>(random()); break;
                    case 1: text.erase(at, 1 + below(40)); break;
                    case 2: text.insert(at, text.substr(below(text.size()), below(60))); break;
                    case 3: text.insert(at, 1, "\"'[]{}=.,#\n-0"[below(13)]); break;
                    default: text.resize(at + 1); break;
                }
            }
            try {
                const Shop shop = shop_from_text(text, "mutated.toml");
                ++loaded;
                // What loads keeps the promises that others compute with.
                for (const Medium& medium : shop.media) {
                    ASSERT_GT(medium.ppi.wanted.value, 0);
                    ASSERT_TRUE(!medium.sizes.empty() || medium.free_sizes);
                    for (const Size& size : medium.sizes)
                        ASSERT_GT(std::min(size.finished.width, size.finished.height).value, 0);
                    ASSERT_GT(medium.f50_cycles_per_mm(), 0);
                }
                ASSERT_FALSE(letter(shop).empty());
            } catch (const base::UnreadableInput& error) {
                ++refused;
                ASSERT_TRUE(std::string(error.what()).starts_with("mutated.toml, line ")) << error.what();
            }
        }
    }
    // Both ways were walked: changes in comments and names load, most others do not.
    EXPECT_GT(loaded, 50);
    EXPECT_GT(refused, 500);
}

TEST(shop_file, a_missing_file_a_folder_and_an_empty_file_are_refused) {
    const support::TemporaryFolder folder;
    EXPECT_THROW(shop_from_file(folder.path() / "none.toml"), base::UnreadableInput);
    EXPECT_THROW(shop_from_file(folder.path()), base::UnreadableInput);
    std::ofstream(folder.path() / "empty.toml").close();
    EXPECT_THROW(shop_from_file(folder.path() / "empty.toml"), base::UnreadableInput);
}

TEST(shop_file, a_price_is_read_to_the_cent) {
    EXPECT_EQ(parse_price("24.90")->cents, 2490);
    EXPECT_EQ(parse_price("24.9")->cents, 2490);
    EXPECT_EQ(parse_price("24")->cents, 2400);
    EXPECT_EQ(parse_price("0.07")->cents, 7);
    EXPECT_EQ(parse_price("1.15")->cents, 115);  // 1.15 * 100 is 114.99999999999999 in binary.
    EXPECT_EQ(parse_price("999999999999.99")->cents, 99999999999999);
    for (const auto* text : {"", ".5", "5.", "1.234", "1,50", "-1", "+1", "1e3", " 1", "1000000000000.00"}) {
        EXPECT_FALSE(parse_price(text).has_value()) << text;
    }
    EXPECT_EQ(price_text({2490}), "24.90");
    EXPECT_EQ(price_text({7}), "0.07");
}

}  // namespace
}  // namespace hangtrue::shops
