// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/medium.h"

#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "engine/shops/listing.h"
#include "engine/shops/questions.h"
#include "engine/shops/shop_file.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::shops {
namespace {

using base::inches;

Medium with_sizes(std::vector<base::SizeMm> sizes) {
    Medium medium;
    for (const auto& size : sizes) medium.sizes.push_back({std::to_string(medium.sizes.size()), size, {}, "", {}});
    return medium;
}

template <typename Call>
std::string refusal(Call call) {
    try {
        call();
    } catch (const base::InvalidWish& error) {
        return error.what();
    }
    return "";
}

bool asks(const std::vector<Question>& questions, const std::string& key) {
    return std::any_of(questions.begin(), questions.end(),
                       [&](const Question& question) { return question.key == key; });
}

TEST(medium, a_size_is_found_in_either_orientation_within_half_a_millimetre) {
    const Medium medium = with_sizes({{inches(36), inches(24)}, {inches(24), inches(16)}});
    EXPECT_EQ(find_size(medium, {inches(36), inches(24)}), &medium.sizes[0]);
    EXPECT_EQ(find_size(medium, {inches(16), inches(24)}), &medium.sizes[1]);
    EXPECT_EQ(find_size(medium, {{914.4 + 0.49}, {609.6 - 0.49}}), &medium.sizes[0]);
    EXPECT_EQ(find_size(medium, {{914.4 + 0.51}, {609.6}}), nullptr);
    EXPECT_EQ(find_size(medium, {inches(24), inches(24)}), nullptr);
}

TEST(medium, of_two_sizes_within_reach_the_nearer_is_found) {
    const Medium medium = with_sizes({{{600}, {400}}, {{600.6}, {400}}});
    EXPECT_EQ(find_size(medium, {{600.2}, {400}}), &medium.sizes[0]);
    EXPECT_EQ(find_size(medium, {{400}, {600.4}}), &medium.sizes[1]);
}

TEST(medium, a_free_size_lies_between_the_least_side_and_the_roll) {
    Medium medium;
    EXPECT_FALSE(takes_free_size(medium, {{500}, {500}}));
    medium.free_sizes = FreeSizes{{150}, {1000}, {3000}, "", {}};
    EXPECT_TRUE(takes_free_size(medium, {{3000}, {1000}}));
    EXPECT_TRUE(takes_free_size(medium, {{150}, {150}}));
    EXPECT_FALSE(takes_free_size(medium, {{3000}, {1001}}));
    EXPECT_FALSE(takes_free_size(medium, {{149}, {500}}));
    EXPECT_FALSE(takes_free_size(medium, {{500}, {3001}}));
}

TEST(medium, the_measured_blur_goes_before_the_estimate_of_its_class) {
    Medium medium;
    // Estimates, from memory of how the processes work; no table has been published.
    medium.blur = BlurClass::canvas;
    EXPECT_EQ(medium.f50_cycles_per_mm(), 2.0);
    medium.blur = BlurClass::metal;
    EXPECT_EQ(medium.f50_cycles_per_mm(), 3.0);
    medium.measured_f50_cycles_per_mm = 3.7;
    EXPECT_EQ(medium.f50_cycles_per_mm(), 3.7);
    // Rag paper blurs more than smooth matte paper, that more than gloss; acrylic takes 5 to 10 %
    // from the print.
    EXPECT_LT(default_f50(BlurClass::inkjet_rag), default_f50(BlurClass::inkjet_matte));
    EXPECT_LT(default_f50(BlurClass::inkjet_matte), default_f50(BlurClass::inkjet_gloss));
    EXPECT_NEAR(default_f50(BlurClass::acrylic_mount) / default_f50(BlurClass::silver_halide), 0.925, 0.025);
}

TEST(names, a_mistyped_medium_or_shop_is_answered_with_the_nearest_or_all) {
    const auto shops = shops_in(HANGTRUE_SOURCE_DIR "/data/shops");
    const Shop& quillfen = shop_named(shops, "quillfen");
    EXPECT_EQ(&shop_named(shops, "Quillfen Prints"), &quillfen);
    EXPECT_EQ(medium_named(quillfen, "Lustre photo paper").id, "lustre-paper");
    EXPECT_EQ(refusal([&] { medium_named(quillfen, "brushd-metal"); }),
              "There is no medium \"brushd-metal\" at Quillfen Prints. Did you mean \"brushed-metal\"?");
    EXPECT_EQ(refusal([&] { medium_named(quillfen, "wallpaper-xyzxyz"); }),
              "There is no medium \"wallpaper-xyzxyz\" at Quillfen Prints. "
              "There is \"metal-white\", \"brushed-metal\", \"acrylic-face\" or \"lustre-paper\".");
    EXPECT_EQ(refusal([&] { shop_named(shops, "quilfen"); }),
              "There is no shop \"quilfen\". Did you mean \"quillfen\"?");
    EXPECT_EQ(refusal([&] { shop_named({}, "quilfen"); }), "There is no shop \"quilfen\". There is none at all yet.");
}

TEST(questions, a_medium_of_which_nothing_is_told_asks_for_everything) {
    const auto questions = open_questions(Medium{});
    for (const auto* key : {"file_space",
                            "print_profile",
                            "file.embed_profile",
                            "file.formats",
                            "file.tiff_bits",
                            "file.tiff_compressions",
                            "file.big_tiff",
                            "file.alpha",
                            "file.most_bytes",
                            "file.most_pixels",
                            "file.name_rule",
                            "file.most_name_length",
                            "file.ascii_names",
                            "ppi.least",
                            "ppi.most",
                            "pixels",
                            "shape_tolerance",
                            "bleed",
                            "safe_area",
                            "base",
                            "finish",
                            "mount",
                            "mirrored",
                            "improvement_off",
                            "order_choices"}) {
        EXPECT_TRUE(asks(questions, key)) << key;
    }
    EXPECT_FALSE(asks(questions, "wrap"));
}

TEST(questions, an_answer_closes_its_question_and_no_other) {
    Medium medium;
    const std::size_t open = open_questions(medium).size();
    const auto closes = [&](auto change) {
        Medium answered = medium;
        change(answered);
        return open - open_questions(answered).size();
    };
    EXPECT_EQ(closes([](Medium& m) { m.file_space = FileSpace::srgb; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.print_profile = "print.icc"; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.rules.alpha = false; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.rules.most_bytes = 1000; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.rules.most_side_px = 1000; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.ppi.least = base::PixelsPerInch{100}; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.bleed = Bleed{}; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.mirrored = false; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.improvement_off = ""; }), 1U);
    EXPECT_EQ(closes([](Medium& m) { m.told.base = true; }), 1U);
    // JPEG alone: the three questions about TIFF have no object any more.
    EXPECT_EQ(closes([](Medium& m) { m.rules.formats = {"jpeg"}; }), 4U);
    // Exact pixels have no tolerance to ask for.
    EXPECT_EQ(closes([](Medium& m) { m.pixel_rule = PixelRule::exact, m.told.pixel_rule = true; }), 2U);
}

TEST(questions, the_small_and_the_large_size_are_asked_about_only_where_a_process_is_not_told) {
    Medium medium = with_sizes({{{300}, {200}}});
    const std::string key = "same_process_for_all_sizes";
    EXPECT_FALSE(asks(open_questions(medium), key));
    medium.sizes.push_back({"large", {{900}, {600}}, {}, "", {}});
    EXPECT_TRUE(asks(open_questions(medium), key));
    medium.sizes[0].process = "A";
    EXPECT_TRUE(asks(open_questions(medium), key));
    medium.sizes[1].process = "B";
    EXPECT_FALSE(asks(open_questions(medium), key));
    medium.sizes[1].process = "";
    medium.same_process_for_all_sizes = true;
    EXPECT_FALSE(asks(open_questions(medium), key));
}

TEST(questions, the_letter_asks_each_shared_question_once_and_names_the_media) {
    Shop shop;
    shop.name = "Quillfen Prints";
    shop.media.resize(2);
    shop.media[0].name = "Metal";
    shop.media[1].name = "Paper";
    shop.media[0].mirrored = true;
    const std::string text = letter(shop);
    const auto count = [&](const std::string& words) {
        std::size_t found = 0;
        for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at + 1)) ++found;
        return found;
    };
    EXPECT_EQ(count("Which colour space"), 1U);
    EXPECT_EQ(count("About all of these (Metal; Paper):"), 1U);
    EXPECT_EQ(count("About Paper:"), 1U);
    EXPECT_EQ(count("About ordering:"), 1U);
    EXPECT_LT(text.find("About Paper:"), text.find("Must the file be mirrored"));
    EXPECT_EQ(count("About Metal:"), 0U);
    for (std::size_t start = 0; start < text.size();) {
        const std::size_t end = text.find('\n', start);
        EXPECT_LE(end - start, 80U);
        start = end + 1;
    }
}

Medium told_medium() {
    Medium medium;
    medium.ppi = {base::PixelsPerInch{100}, base::PixelsPerInch{150}, base::PixelsPerInch{300}};
    medium.told = {.pixel_rule = true, .shape_tolerance = true, .base = true, .name_rule = true};
    medium.file_space = FileSpace::srgb;
    medium.print_profile = "print.icc";
    medium.rules.formats = {"jpeg"};
    medium.rules.most_bytes = 1'000'000;
    medium.rules.most_side_px = 20'000;
    medium.rules.embed_profile = medium.rules.ascii_names = true;
    medium.rules.alpha = medium.mirrored = false;
    medium.rules.most_name_length = 64;
    medium.bleed = Bleed{};
    medium.safe_area = base::Millimetres{5};
    medium.finish = medium.mount = medium.improvement_off = "none";
    medium.order_choices = {"As supplied"};
    return medium;
}

TEST(questions, a_shop_that_has_told_everything_gets_no_letter) {
    Shop shop;
    shop.name = "Sample";
    shop.smallest_order = shop.postage = Price{0};
    shop.days = 3;
    shop.media.push_back(told_medium());
    EXPECT_EQ(letter(shop), "There is nothing left to ask Sample.\n");
}

TEST(new_shop, the_template_loads_as_it_is_with_everything_still_to_ask) {
    const Shop shop = shop_from_text(new_shop_text("The \"Corner\" Shop"), "corner.toml");
    EXPECT_EQ(shop.name, "The \"Corner\" Shop");
    EXPECT_TRUE(shop.media.empty());
    EXPECT_GE(open_questions(shop).size(), 25U);
}

TEST(new_shop, the_letter_of_a_fresh_file_names_no_medium_and_asks_for_everything) {
    const Shop shop = shop_from_text(new_shop_text("S\u00f6hne"), "sohne.toml");
    const std::string text = letter(shop);
    EXPECT_EQ(text.find("Lustre"), std::string::npos);
    EXPECT_NE(text.find("Dear S\u00f6hne team"), std::string::npos);
    EXPECT_NE(text.find("What do you print on, in which sizes, at how many ppi, and what does"), std::string::npos);
    EXPECT_NE(text.find("\nAbout each of them:\n"), std::string::npos);
    EXPECT_NE(text.find("TIFF or JPEG"), std::string::npos);
    EXPECT_EQ(refusal([&] { medium_named(shop, "metal"); }),
              "There is no medium \"metal\" at S\u00f6hne. Its shop file has none yet: begin one there with a line "
              "[[medium]].");
}

TEST(new_shop, every_remark_that_shows_a_key_is_a_key_that_loads) {
    std::string text = new_shop_text("Sample");
    // Take the # from every line that shows a key; free sizes and canvas keys included.
    std::string opened;
    std::size_t shown = 0;
    for (std::size_t start = 0; start < text.size();) {
        const std::size_t end = text.find('\n', start);
        std::string line = text.substr(start, end - start);
        const std::size_t word_end = line.find_first_not_of("abcdefghijklmnopqrstuvwxyz_", 2);
        const bool is_key =
            line.starts_with("# ") && word_end != std::string::npos && line.substr(word_end, 3) == " = ";
        // The file's own size is for shops without bleed or wrap; the profile's file need not exist
        // to be named.
        const bool is_left_out = line.starts_with("# file = ") || line.starts_with("# bleed");
        if ((is_key && !is_left_out) || line.starts_with("# [")) {
            line.erase(0, 2);
            ++shown;
        }
        opened += line + "\n";
        start = end + 1;
    }
    EXPECT_GE(shown, 30U);
    const Shop shop = shop_from_text(opened, "sample.toml");
    ASSERT_EQ(shop.media.size(), 1U);
    EXPECT_EQ(shop.media[0].sizes.size(), 1U);
    EXPECT_TRUE(shop.media[0].free_sizes.has_value());
    EXPECT_TRUE(shop.media[0].wrap.has_value());
}

TEST(listing, a_medium_is_shown_in_words_and_says_what_is_not_told) {
    const auto shops = shops_in(HANGTRUE_SOURCE_DIR "/data/shops");
    const Medium& acrylic = medium_named(shop_named(shops, "quillfen"), "acrylic-face");
    const auto list = facts(acrylic, base::ShownUnits::inches);
    const auto value = [&](const std::string& label) {
        for (const Fact& fact : list) {
            if (fact.label == label) return fact.value;
        }
        return std::string("?");
    };
    EXPECT_EQ(value("ppi"), "300, at least 200, at most 300");
    EXPECT_EQ(value("bleed"), "0.125 in on each side, cut from the ordered size");
    EXPECT_EQ(value("mirrored"), "not told");
    EXPECT_EQ(value("file space"), "sRGB");
    EXPECT_TRUE(value("formats").starts_with("JPEG") || value("formats").starts_with("TIFF")) << value("formats");
    EXPECT_EQ(value("automatic improvement"), "none");
    const auto prices = price_list(acrylic, base::ShownUnits::inches);
    ASSERT_EQ(prices.size(), 5U);
    EXPECT_EQ(prices[2].name, "Acrylic 36x24");
    EXPECT_EQ(prices[2].finished, "36 x 24 in");
    EXPECT_EQ(prices[2].price, "419.00");
}

}  // namespace
}  // namespace hangtrue::shops
