// SPDX-License-Identifier: Apache-2.0
#include "engine/base/units.h"

#include <gtest/gtest.h>

namespace hangtrue::base {
namespace {

TEST(units, one_inch_is_25_4_mm_exactly) {
    EXPECT_EQ(inches(1).value, 25.4);
    EXPECT_EQ(in_inches(Millimetres{914.4}), 36.0);
}

TEST(units, px_9504_at_150_ppi_is_1609_34_mm) {
    // 9504 / 150 = 63.36 in.
    EXPECT_NEAR(length_of(9504, PixelsPerInch{150}).value, 63.36 * 25.4, 1e-9);  // rounding of doubles
}

TEST(units, in_36_at_150_ppi_takes_5400_px) { EXPECT_EQ(pixels(inches(36), PixelsPerInch{150}), 5400.0); }

TEST(units, lengths_add_subtract_scale_and_divide) {
    EXPECT_EQ(Millimetres{3} + Millimetres{4}, Millimetres{7});
    EXPECT_EQ(Millimetres{3} - Millimetres{4}, Millimetres{-1});
    EXPECT_EQ(2 * Millimetres{3}, Millimetres{3} * 2);
    EXPECT_EQ(Millimetres{3} / 2, Millimetres{1.5});
    EXPECT_EQ(Millimetres{9} / Millimetres{2}, 4.5);
    EXPECT_LT(Millimetres{1}, Millimetres{2});
}

TEST(units, a_36000_x_28000_px_print_has_more_pixels_than_an_int_of_31_bits_in_bytes) {
    const PixelSize size{36000, 28000};
    EXPECT_EQ(size.count(), 1'008'000'000);
    EXPECT_EQ(PixelSize({100000, 100000}).count(), 10'000'000'000);
}

TEST(units, rectangles_meet_in_their_common_part) {
    const PixelRect a{0, 0, 10, 10};
    EXPECT_EQ(intersection(a, {5, 6, 10, 10}), (PixelRect{5, 6, 5, 4}));
    EXPECT_EQ(intersection(a, {2, 3, 4, 4}), (PixelRect{2, 3, 4, 4}));
    EXPECT_TRUE(intersection(a, {10, 0, 5, 5}).empty());  // they touch
    EXPECT_TRUE(intersection(a, {-8, -8, 4, 4}).empty());
    EXPECT_EQ(intersection(a, {-3, -3, 5, 5}), (PixelRect{0, 0, 2, 2}));
}

TEST(units, edges_of_one_value_have_it_on_all_four_sides) {
    const Edges<int> edges = Edges<int>::all(3);
    EXPECT_EQ(edges, (Edges<int>{3, 3, 3, 3}));
}

}  // namespace
}  // namespace hangtrue::base
