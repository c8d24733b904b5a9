// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/sizes.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/plan/example.h"

namespace hangtrue::plan {
namespace {

using base::in_inches;

shops::Medium medium_at(double ppi, const std::vector<shops::Size>& sizes) {
    shops::Medium medium = example::metal();
    medium.ppi.wanted = {ppi};
    medium.sizes = sizes;
    return medium;
}

const std::vector<shops::Size> three_to_two{example::size(12, 8),  example::size(24, 16), example::size(30, 20),
                                            example::size(36, 24), example::size(60, 40), example::size(72, 48)};

TEST(plan_sizes, px_9504_x_6336_at_150_ppi_are_63_36_x_42_24_in) {
    const auto size = native_size({9504, 6336}, {150});
    EXPECT_DOUBLE_EQ(in_inches(size.width), 63.36);
    EXPECT_DOUBLE_EQ(in_inches(size.height), 42.24);
}

TEST(plan_sizes, px_5472_x_3648_at_200_ppi_are_27_36_x_18_24_in) {
    const auto size = native_size({5472, 3648}, {200});
    EXPECT_DOUBLE_EQ(in_inches(size.width), 27.36);
    EXPECT_DOUBLE_EQ(in_inches(size.height), 18.24);
}

TEST(plan_sizes, px_4000_at_300_ppi_is_338_67_mm_wide) {
    EXPECT_NEAR(native_size({4000, 3000}, {300}).width.value, 338.67,
                0.005);  // Half of the last digit.
}

// Common practice, no source.
TEST(plan_sizes, px_9504_x_6336_go_to_60_x_40_in_at_150_ppi_without_enlarging) {
    const auto sizes = sizes_on(example::shop(), medium_at(150, three_to_two), {9504, 6336});
    ASSERT_TRUE(sizes.largest_without_enlarging);
    EXPECT_EQ(sizes.rows[*sizes.largest_without_enlarging].name, "60 x 40 in");
}

TEST(plan_sizes, px_5472_x_3648_go_to_24_x_16_in_at_200_ppi_without_enlarging) {
    const auto sizes = sizes_on(example::shop(), medium_at(200, three_to_two), {5472, 3648});
    ASSERT_TRUE(sizes.largest_without_enlarging);
    EXPECT_EQ(sizes.rows[*sizes.largest_without_enlarging].name, "24 x 16 in");
}

TEST(plan_sizes, a_tiny_picture_goes_to_no_size_without_enlarging) {
    EXPECT_FALSE(sizes_on(example::shop(), medium_at(200, three_to_two), {300, 200}).largest_without_enlarging);
}

TEST(plan_sizes, enlarging_ppi_and_distance_of_6000_x_4000_px_at_60_x_40_in) {
    const auto sizes = sizes_on(example::shop(), medium_at(150, {example::size(60, 40)}), {6000, 4000});
    const auto& row = sizes.rows.front();
    EXPECT_DOUBLE_EQ(row.enlarging, 1.5);
    EXPECT_DOUBLE_EQ(row.picture_ppi.value, 100);
    // 25.4 / (2 * 100 * tan(1/120 degree)): one arc minute a pixel.
    EXPECT_NEAR(row.sharp_from.value, 873.2, 0.05);
    EXPECT_DOUBLE_EQ(row.crop_loss, 0);
    EXPECT_FALSE(row.below_least_ppi);
}

TEST(plan_sizes, bleed_counts_against_the_largest_size) {
    auto medium = medium_at(150, {example::size(60, 40)});
    EXPECT_TRUE(sizes_on(example::shop(), medium, {9000, 6000}).largest_without_enlarging);
    medium.bleed = shops::Bleed{shops::BleedPlace::outside, base::Edges<base::Millimetres>::all({3})};
    EXPECT_FALSE(sizes_on(example::shop(), medium, {9000, 6000}).largest_without_enlarging);
}

// A 3:2 picture loses 1 - (1/1.5) to a square and 1 - 1.5/1.5 to 3:2; a 4:3 one 1 - (4/3)/1.5 to
// 3:2.
TEST(plan_sizes, crop_loss_is_one_third_for_3_2_on_a_square_and_one_ninth_for_4_3_on_3_2) {
    const auto square = sizes_on(example::shop(), medium_at(150, {example::size(20, 20)}), {6000, 4000});
    EXPECT_NEAR(square.rows[0].crop_loss, 1.0 / 3, 1e-12);
    const auto three_two = sizes_on(example::shop(), medium_at(150, {example::size(36, 24)}), {4000, 3000});
    EXPECT_NEAR(three_two.rows[0].crop_loss, 1.0 / 9, 1e-12);
}

// ISO 216: A-series sheets are cut to whole millimetres, so their shape is 1.41 to 1.42 and a
// picture of shape sqrt(2) loses less than half a percent; A3 at 300 ppi is 3508 x 4961 px.
TEST(plan_sizes, iso_216_sheets_keep_a_picture_of_shape_root_two) {
    std::vector<shops::Size> sizes;
    for (const auto& [width, height] :
         {std::pair{105.0, 148.0}, {148, 210}, {210, 297}, {297, 420}, {420, 594}, {594, 841}, {841, 1189}}) {
        shops::Size size;
        size.finished = {{width}, {height}};
        sizes.push_back(size);
    }
    const auto result = sizes_on(example::shop(), medium_at(300, sizes), {4961, 3508});
    ASSERT_EQ(result.rows.size(), 7U);
    for (const auto& row : result.rows) {
        EXPECT_LT(row.crop_loss, 0.005);
        EXPECT_GT(row.size.width, row.size.height);
    }
    EXPECT_EQ(*result.largest_without_enlarging, 3U);  // A3.
}

TEST(plan_sizes, rows_follow_a_standing_picture_and_grow) {
    const auto sizes = sizes_on(example::shop(), medium_at(150, three_to_two), {4000, 6000});
    for (std::size_t i = 0; i < sizes.rows.size(); ++i) {
        EXPECT_LT(sizes.rows[i].size.width, sizes.rows[i].size.height);
        if (i > 0) {
            EXPECT_GT(sizes.rows[i].size.width, sizes.rows[i - 1].size.width);
        }
    }
}

TEST(plan_sizes, free_sizes_stay_within_the_limits_in_the_pictures_shape) {
    auto medium = medium_at(150, {});
    medium.free_sizes = shops::FreeSizes{.least_side = {200},
                                         .most_short_side = {700},
                                         .most_long_side = {1200},
                                         .process = "",
                                         .price_per_square_metre = shops::Price{10000}};
    const auto sizes = sizes_on(example::shop(), medium, {6000, 4000});
    ASSERT_FALSE(sizes.rows.empty());
    EXPECT_EQ(sizes.rows.front().size.width.value, 300);  // 250 x 167 has a side under 200.
    EXPECT_EQ(sizes.rows.back().size.width.value, 1000);  // 1200 x 800 has a short side over 700.
    EXPECT_EQ(sizes.rows.front().price_cents, 600);       // 0.3 m x 0.2 m at 100.00 a square metre.
    for (const auto& row : sizes.rows) EXPECT_LT(row.crop_loss, 0.005);
}

TEST(plan_sizes, below_the_mediums_least_ppi_is_said) {
    const auto sizes = sizes_on(example::shop(), example::metal(), {3000, 2000});
    EXPECT_FALSE(sizes.rows.front().below_least_ppi);
    EXPECT_TRUE(sizes.rows.back().below_least_ppi);  // 60 x 40 in: 50 ppi, and 100 are the least.
}

// One arc minute a pixel: 25.4 / (2 ppi tan(1/120 degree)), so 300 ppi are sharp from 291 mm and 150 ppi from 582 mm
// (common acuity convention). A picture of 9504 x 6336 px brings 792 ppi at 12 x 8 in and 158.4 at 60 x 40 in.
TEST(plan_sizes, are_sharp_in_the_hand_on_the_wall_or_soft_by_detail_and_not_by_pixels) {
    const auto at = [](double cycles, const Hanging& hanging) {
        return sizes_on(example::shop(), medium_at(150, three_to_two), {9504, 6336}, hanging, cycles);
    };
    const auto full = at(0.5, {});
    EXPECT_EQ(full.rows.front().sharpness, Sharpness::in_the_hand);
    EXPECT_NEAR(full.rows.front().detail_ppi.value, 792, 0.5);
    const SizeRow& large = full.rows[4];
    EXPECT_EQ(large.name, "60 x 40 in");
    EXPECT_EQ(large.sharpness, Sharpness::on_the_wall);
    EXPECT_NEAR(large.detail_sharp_from.value, 551.2, 0.5);
    EXPECT_NEAR(large.wall_distance.value, std::hypot(1524, 1016), 1e-9);

    // Half the detail: 396 and 79.2 ppi; a tenth of it: 15.84 ppi at 60 in, sharp from 5.5 m.
    EXPECT_EQ(at(0.25, {}).rows.front().sharpness, Sharpness::in_the_hand);
    EXPECT_NEAR(at(0.25, {}).rows[4].detail_sharp_from.value, 1102.4, 1);
    EXPECT_EQ(at(0.05, {}).rows[4].sharpness, Sharpness::soft);
    EXPECT_EQ(at(0.05, {.distance = base::Millimetres{6000}, .room_depth = {}}).rows[4].sharpness,
              Sharpness::on_the_wall);
    EXPECT_EQ(at(0.25, {.distance = {}, .room_depth = base::Millimetres{1000}}).rows[4].sharpness, Sharpness::soft);
}

TEST(plan_sizes, tell_nothing_of_sharpness_where_the_detail_is_unknown) {
    for (const SizeRow& row : sizes_on(example::shop(), medium_at(150, three_to_two), {9504, 6336}).rows) {
        EXPECT_EQ(row.sharpness, Sharpness::unknown);
        EXPECT_EQ(row.detail_ppi.value, 0);
        EXPECT_GT(row.wall_distance.value, 0);
    }
}

}  // namespace
}  // namespace hangtrue::plan
