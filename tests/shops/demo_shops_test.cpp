// SPDX-License-Identifier: Apache-2.0
/// What the two demo shops offer between them.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/shops/questions.h"
#include "engine/shops/shop_file.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::shops {
namespace {

using base::inches;

ShopFolder demo_folder() { return shops_in(HANGTRUE_SOURCE_DIR "/data/shops"); }
std::vector<Shop> demo_shops() { return demo_folder().shops; }

/// Media of all demo shops for which `fits` holds.
template <typename Fits>
std::vector<Medium> media_that(Fits fits) {
    std::vector<Medium> found;
    for (const Shop& shop : demo_shops())
        std::copy_if(shop.media.begin(), shop.media.end(), std::back_inserter(found), fits);
    return found;
}

bool has_shape(const Medium& medium, double ratio) {
    return std::any_of(medium.sizes.begin(), medium.sizes.end(), [&](const Size& size) {
        const double sides[] = {size.finished.width.value, size.finished.height.value};
        // Sizes in whole inches have their ratio to the last bit or two.
        return std::abs(std::max(sides[0], sides[1]) / std::min(sides[0], sides[1]) - ratio) < 1e-9;
    });
}

bool asks(const Medium& medium, const std::string& key) {
    const auto questions = open_questions(medium);
    return std::any_of(questions.begin(), questions.end(),
                       [&](const Question& question) { return question.key == key; });
}

TEST(demo_shops, there_are_two_marrow_and_tine_and_quillfen_prints_in_order_of_names) {
    const auto shops = demo_shops();
    ASSERT_EQ(shops.size(), 2U);
    EXPECT_EQ(shops[0].id, "marrow-tine");
    EXPECT_EQ(shops[0].name, "Marrow & Tine");
    EXPECT_EQ(shops[1].id, "quillfen");
    EXPECT_EQ(shops[1].name, "Quillfen Prints");
    EXPECT_EQ(shops[1].smallest_order->cents, 3000);
    EXPECT_EQ(shops[1].postage->cents, 1450);
    EXPECT_EQ(*shops[1].days, 7);
}

TEST(demo_shops, metal_comes_on_white_and_on_bare_metal_at_150_to_200_ppi) {
    const auto metal = media_that([](const Medium& medium) { return medium.blur == BlurClass::metal; });
    const auto has_base = [&](Base base) {
        return std::any_of(metal.begin(), metal.end(),
                           [&](const Medium& medium) { return medium.base == base && medium.told.base; });
    };
    EXPECT_TRUE(has_base(Base::white));
    EXPECT_TRUE(has_base(Base::bare_metal));
    for (const Medium& medium : metal) {
        EXPECT_GE(medium.ppi.wanted.value, 150) << medium.id;  // Common practice.
        EXPECT_LE(medium.ppi.wanted.value, 200) << medium.id;
    }
}

TEST(demo_shops, canvas_comes_on_19_and_38_mm_bars_at_80_to_100_ppi_in_24x16_in) {
    const auto canvas = media_that([](const Medium& medium) { return medium.wrap.has_value(); });
    std::vector<double> depths;
    for (const Medium& medium : canvas) {
        depths.push_back(medium.wrap->bar_depth.value);
        EXPECT_EQ(medium.blur, BlurClass::canvas);
        EXPECT_EQ(medium.wrap->maker, WrapMaker::photographer);
        EXPECT_GE(medium.ppi.wanted.value, 80) << medium.id;  // Common practice.
        EXPECT_LE(medium.ppi.wanted.value, 100) << medium.id;
        EXPECT_NE(find_size(medium, {inches(24), inches(16)}), nullptr) << medium.id;
    }
    std::sort(depths.begin(), depths.end());
    EXPECT_EQ(depths, (std::vector<double>{19, 38}));
}

TEST(demo_shops, brushed_metal_comes_in_six_3_to_2_sizes_from_two_machines) {
    const auto folder = demo_folder();
    const Medium& metal = medium_named(shop_named(folder, "quillfen"), "brushed-metal");
    const double sides[][2] = {{12, 8}, {18, 12}, {24, 16}, {30, 20}, {36, 24}, {60, 40}};
    for (const auto& [width, height] : sides) {
        EXPECT_NE(find_size(metal, {inches(width), inches(height)}), nullptr) << width;
        EXPECT_NE(find_size(metal, {inches(height), inches(width)}), nullptr) << width;
    }
    EXPECT_NE(metal.sizes.front().process, metal.sizes.back().process);
    EXPECT_FALSE(asks(metal, "same_process_for_all_sizes"));
}

TEST(demo_shops, acrylic_face_mount_wants_exact_pixels_and_leaves_open_whether_it_is_mirrored) {
    const auto acrylic = media_that([](const Medium& medium) { return medium.blur == BlurClass::acrylic_mount; });
    ASSERT_EQ(acrylic.size(), 1U);
    EXPECT_FALSE(acrylic[0].mirrored.has_value());
    EXPECT_TRUE(asks(acrylic[0], "mirrored"));
    EXPECT_EQ(acrylic[0].pixel_rule, PixelRule::exact);
    EXPECT_EQ(acrylic[0].bleed->place, BleedPlace::inside);
}

TEST(demo_shops, lustre_paper_takes_jpeg_alone_to_60_mb_with_the_quantity_in_its_name) {
    const auto lustre = media_that([](const Medium& medium) { return medium.finish == "lustre"; });
    ASSERT_EQ(lustre.size(), 1U);
    EXPECT_EQ(lustre[0].rules.formats, std::vector<std::string>{"jpeg"});
    EXPECT_EQ(*lustre[0].rules.most_bytes, 60'000'000);
    EXPECT_EQ(lustre[0].rules.name_rule, "{picture}_{size}_{quantity}x");
    EXPECT_EQ(lustre[0].ppi.wanted.value, 300);
    EXPECT_TRUE(asks(lustre[0], "same_process_for_all_sizes"));
    EXPECT_FALSE(asks(lustre[0], "file.tiff_bits"));
}

TEST(demo_shops, cotton_rag_takes_a_gigapixel_of_16_bit_big_tiff_in_a_free_size) {
    const auto rag = media_that([](const Medium& medium) { return medium.blur == BlurClass::inkjet_rag; });
    ASSERT_EQ(rag.size(), 1U);
    const auto width = base::length_of(36000, rag[0].ppi.wanted);
    const auto height = base::length_of(28000, rag[0].ppi.wanted);
    EXPECT_TRUE(takes_free_size(rag[0], {width, height}));
    EXPECT_TRUE(takes_free_size(rag[0], {height, width}));
    EXPECT_FALSE(takes_free_size(rag[0], {width, width}));
    EXPECT_TRUE(*rag[0].rules.big_tiff);
    EXPECT_EQ(rag[0].rules.tiff_bits->front(), 16);
    EXPECT_GT(*rag[0].rules.most_bytes, 36000LL * 28000 * 6);
    EXPECT_GT(*rag[0].rules.most_pixels, 36000LL * 28000);
    EXPECT_EQ(rag[0].file_space, FileSpace::adobe_rgb);
}

TEST(demo_shops, square_3_to_2_4_to_5_2_to_1_and_3_to_1_are_all_offered) {
    for (const double ratio : {1.0, 1.5, 1.25, 2.0, 3.0}) {
        EXPECT_FALSE(media_that([&](const Medium& medium) { return has_shape(medium, ratio); }).empty()) << ratio;
    }
}

TEST(demo_shops, every_medium_leaves_something_to_ask_and_each_letter_asks_about_the_machine) {
    for (const Shop& shop : demo_shops()) {
        for (const Medium& medium : shop.media) EXPECT_FALSE(open_questions(medium).empty()) << medium.id;
        EXPECT_NE(letter(shop).find("same machine"), std::string::npos) << shop.id;
    }
}

}  // namespace
}  // namespace hangtrue::shops
