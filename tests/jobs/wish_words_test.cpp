// SPDX-License-Identifier: Apache-2.0
#include <set>

#include "engine/base/error.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

struct WordCase {
    std::string key;
    std::vector<std::string> good;
    std::vector<std::string> bad;
};

const std::vector<WordCase>& cases() {
    static const std::vector<WordCase> table{
        {"shop", {"quillfen"}, {}},
        {"medium", {"metal-white"}, {}},
        {"size",
         {"36x24in", "90x60cm", "3ftx2ft", "A3", "a0"},
         {"", "36", "A7", "A", "A33", "B3", "36x24", "0x24in", "-3x2in", "36x24in!", "36x24x1in", "nanxnanin",
          "1e400x2in"}},
        {"quantity", {"1", "25"}, {"", "0", "-1", "1.5", "two", "99999999999", "3 "}},
        {"crop",
         {"auto", "auto@0.5,0.25", "auto@0,1", "10,20,300,200", "0.5,0.5,99.25,66"},
         {"", "Auto", "auto@", "auto@0.5", "auto@2,0", "auto@-0.1,0", "1,2,3", "1,2,3,4,5", "a,b,c,d", "nan,0,10,10",
          "inf,0,10,10"}},
        {"bleed", {"auto", "off"}, {"", "on", "3mm"}},
        {"wrap", {"round", "mirror", "#00ff7F"}, {"", "Mirror", "#00ff7", "#00ff7g", "00ff7f", "#-1-1-1"}},
        {"border",
         {"20mm", "20mm,20mm,60mm,20mm", "1in:#102030", "0mm"},
         {"", "20", "20mm,20mm", "20mm,20mm,20mm", "20mm:", "20mm:red", "-1mm", "1mm,1mm,1mm,1mm,1mm", ":#102030"}},
        {"panels", {"1", "3", "5"}, {"0", "6", "", "2.5", "-2"}},
        {"gap", {"20mm", "0mm", "1in"}, {"", "20", "-1mm", "wide"}},
        {"enlarge", {"auto", "fine", "quick", "filter"}, {"", "magic"}},
        {"grain", {"keep", "calm"}, {"", "off"}},
        {"sharpen", {"auto", "off", "0%", "150%", "200%"}, {"", "50", "201%", "-1%", "%", "nan%", "inf%"}},
        {"distance", {"2m", "10cm", "8ft"}, {"", "2", "9cm", "0m", "-1m"}},
        {"room", {"hallway", "study", "living-room", "gallery", "3m", "12ft"}, {"", "3", "20cm", "cellar", "-3m"}},
        {"light", {"off", "80", "living-room", "booth", "100000"}, {"", "0", "-1", "100001", "cellar", "80lux", "nan"}},
        {"screen-brightness", {"80", "120.5", "2000"}, {"", "9", "2001", "bright", "nan"}},
        {"correction", {"latest", "none", "3"}, {"", "newest", "0", "-1", "1.5"}},
        {"correction-since", {"2026-03-31"}, {"", "2026-3-31", "31.3.2026", "2026-03-31T10:00:00Z", "yesterday!"}},
        {"intent", {"perceptual", "relative", "saturation", "absolute"}, {"", "colorimetric"}},
        {"black-point", {"keep", "off"}, {"", "on"}},
        {"format", {"auto", "tiff", "jpeg"}, {"", "png", "TIFF"}},
        {"bits", {"8", "16"}, {"", "12", "8.0", "-8"}},
        {"compression", {"none", "lzw", "deflate"}, {"", "zip"}},
        {"ppi", {"10", "150", "299.5", "2400"}, {"", "9", "2401", "0", "-300", "300dpi", "nan", "inf", "1e3"}},
    };
    return table;
}

TEST(wish_word, every_word_has_its_good_and_its_bad_values_here) {
    std::set<std::string> tried;
    for (const WordCase& word : cases()) tried.insert(word.key);
    const auto known = jobs::wish_words();
    EXPECT_EQ(tried, std::set<std::string>(known.begin(), known.end()));
}

TEST(wish_word, takes_its_good_values) {
    for (const WordCase& word : cases()) {
        for (const std::string& value : word.good) {
            plan::Wish wish;
            EXPECT_NO_THROW(jobs::set_wish_word(wish, word.key, value)) << word.key << " = " << value;
        }
    }
}

TEST(wish_word, refuses_a_bad_value_in_a_sentence_that_names_the_option_and_the_value) {
    for (const WordCase& word : cases()) {
        for (const std::string& value : word.bad) {
            SCOPED_TRACE(word.key + " = \"" + value + "\"");
            plan::Wish wish;
            try {
                jobs::set_wish_word(wish, word.key, value);
                ADD_FAILURE() << "taken";
            } catch (const base::InvalidWish& error) {
                expect_a_sentence(error.what(), "--" + word.key);
                EXPECT_THAT(error.what(), testing::HasSubstr("\"" + value + "\""));
                EXPECT_THAT(error.what(), testing::HasSubstr("it takes"));
            }
        }
    }
    plan::Wish wish;
    EXPECT_THROW(jobs::set_wish_word(wish, "sise", "3x2in"), base::InvalidWish);
}

TEST(wish_word, sets_what_it_says) {
    const plan::Wish wish = Workroom::wish({{"size", "90x60cm"},
                                            {"quantity", "3"},
                                            {"crop", "1,2.5,30,20"},
                                            {"bleed", "off"},
                                            {"wrap", "#0a0B0c"},
                                            {"border", "1mm,2mm,3mm,4mm:#010203"},
                                            {"panels", "2"},
                                            {"gap", "1in"},
                                            {"sharpen", "150%"},
                                            {"distance", "2m"},
                                            {"intent", "perceptual"},
                                            {"black-point", "off"},
                                            {"format", "jpeg"},
                                            {"bits", "8"},
                                            {"compression", "lzw"},
                                            {"ppi", "299.5"},
                                            {"enlarge", "filter"}});
    EXPECT_EQ(wish.size, (base::SizeMm{{900}, {600}}));
    EXPECT_EQ(wish.quantity, 3);
    EXPECT_EQ(std::get<base::RealRect>(wish.crop), (base::RealRect{1, 2.5, 30, 20}));
    EXPECT_FALSE(wish.bleed);
    EXPECT_EQ(wish.wrap->fill, plan::WrapFill::colour);
    EXPECT_EQ(wish.wrap->colour, (plan::FlatColour{{10, 11, 12}}));
    EXPECT_EQ(wish.border->widths, (base::Edges<base::Millimetres>{{1}, {2}, {3}, {4}}));
    EXPECT_EQ(wish.border->colour, (plan::FlatColour{{1, 2, 3}}));
    EXPECT_EQ(wish.panels, 2);
    EXPECT_EQ(wish.gap.value, 25.4);
    EXPECT_EQ(wish.sharpen, 1.5);
    EXPECT_EQ(wish.distance->value, 2000);
    EXPECT_EQ(wish.intent, plan::Intent::perceptual);
    EXPECT_FALSE(wish.black_point_compensation);
    EXPECT_EQ(wish.format, plan::FormatWish::jpeg);
    EXPECT_EQ(wish.bits, 8);
    EXPECT_EQ(wish.compression, "lzw");
    EXPECT_EQ(wish.ppi->value, 299.5);
    EXPECT_EQ(wish.enlarging, plan::Enlarging::filter);
    EXPECT_EQ(Workroom::wish({{"sharpen", "off"}}).sharpen, 0.0);
    EXPECT_EQ(Workroom::wish({{"sharpen", "auto"}}).sharpen, std::nullopt);
}

}  // namespace
}  // namespace hangtrue::jobs_test
