// SPDX-License-Identifier: Apache-2.0
#include "engine/base/units_text.h"

#include <gtest/gtest.h>

#include <string>

#include "tests/support/random.h"

namespace hangtrue::base {
namespace {

TEST(units_text, lengths_are_read_in_five_units) {
    EXPECT_EQ(parse_length("38mm"), Millimetres{38});
    EXPECT_EQ(parse_length("3.8 cm"), Millimetres{38});
    EXPECT_EQ(parse_length(" 2 m "), Millimetres{2000});
    EXPECT_EQ(parse_length("24in"), inches(24));
    EXPECT_EQ(parse_length("24\""), inches(24));
    EXPECT_EQ(parse_length("24 inches"), inches(24));
    EXPECT_NEAR(parse_length("8ft").value().value, 2438.4, 1e-9);
    EXPECT_EQ(parse_length("0mm"), Millimetres{0});
}

TEST(units_text, a_bare_number_takes_the_fallback_or_is_no_length) {
    EXPECT_EQ(parse_length("10"), std::nullopt);
    EXPECT_EQ(parse_length("10", LengthUnit::centimetre), Millimetres{100});
    EXPECT_EQ(parse_length("10mm", LengthUnit::centimetre), Millimetres{10});
}

TEST(units_text, what_is_no_length_gives_nothing) {
    for (const char* text : {"", " ", "mm", "-3mm", "-0mm", "3 furlongs", "1e3mm", "nan mm", "inf mm", "0x10mm",
                             "3,5mm", "3mm4", "1 2mm", "999999999999999999999999e999mm"}) {
        EXPECT_EQ(parse_length(text, LengthUnit::millimetre), std::nullopt) << text;
    }
}

TEST(units_text, sizes_take_one_unit_for_both_sides_or_one_each) {
    const SizeMm expected{inches(36), inches(24)};
    EXPECT_EQ(parse_size("36x24in"), expected);
    EXPECT_EQ(parse_size("36 x 24 in"), expected);
    EXPECT_EQ(parse_size("36X24in"), expected);
    EXPECT_EQ(parse_size("36inx24in"), expected);
    EXPECT_EQ(parse_size("36 \u00d7 24 in"), expected);
    EXPECT_EQ(parse_size("36x24", LengthUnit::inch), expected);
    EXPECT_EQ(parse_size("1mx500mm"), (SizeMm{{1000}, {500}}));
}

TEST(units_text, what_is_no_size_gives_nothing) {
    for (const char* text : {"", "36in", "x", "36x", "x24in", "0x24in", "36x0in", "-36x24in", "36x24x12in", "36x24"}) {
        EXPECT_EQ(parse_size(text), std::nullopt) << text;
    }
}

TEST(units_text, lengths_are_shown_with_one_decimal_two_below_10_and_no_zeros) {
    EXPECT_EQ(length_text(inches(36), ShownUnits::inches), "36 in");
    EXPECT_EQ(length_text(inches(36), ShownUnits::centimetres), "91.4 cm");
    EXPECT_EQ(length_text(Millimetres{38}, ShownUnits::inches), "1.5 in");
    EXPECT_EQ(length_text(Millimetres{12.7}, ShownUnits::centimetres), "1.27 cm");
    EXPECT_EQ(size_text({inches(36), inches(24)}, ShownUnits::inches), "36 x 24 in");
    EXPECT_EQ(size_text({inches(36), inches(24)}, ShownUnits::centimetres), "91.4 x 61 cm");
    EXPECT_EQ(distance_text(Millimetres{1400}, ShownUnits::centimetres), "1.4 m");
    EXPECT_EQ(distance_text(Millimetres{350}, ShownUnits::centimetres), "0.35 m");
    EXPECT_EQ(distance_text(Millimetres{1400}, ShownUnits::inches), "4.6 ft");
}

TEST(units_text, numbers_lose_trailing_zeros_and_the_sign_of_nothing) {
    EXPECT_EQ(number_text(1.50, 2), "1.5");
    EXPECT_EQ(number_text(2, 3), "2");
    EXPECT_EQ(number_text(100, 0), "100");
    EXPECT_EQ(number_text(-0.001, 1), "0");
    EXPECT_EQ(number_text(-1.25, 2), "-1.25");
}

TEST(units_text, counts_are_grouped_in_threes) {
    EXPECT_EQ(count_text(0), "0");
    EXPECT_EQ(count_text(999), "999");
    EXPECT_EQ(count_text(1000), "1,000");
    EXPECT_EQ(count_text(96000000), "96,000,000");
    EXPECT_EQ(count_text(-123456), "-123,456");
}

TEST(units_text, a_megabyte_is_a_million_bytes) {
    EXPECT_EQ(bytes_text(999), "999 bytes");
    EXPECT_EQ(bytes_text(1500), "1.5 kB");
    EXPECT_EQ(bytes_text(34600000), "34.6 MB");
    EXPECT_EQ(bytes_text(4294967295), "4.29 GB");
}

TEST(units_text, random_texts_never_crash_and_read_lengths_are_not_negative) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const std::string letters = "0123456789.xX -+emcinft\"\xc3\x97";
    for (int i = 0; i < 20000; ++i) {
        std::string text;
        const std::size_t length = random() % 10;
        for (std::size_t c = 0; c < length; ++c) text += letters[random() % letters.size()];
        if (const auto found = parse_length(text)) {
            EXPECT_GE(found->value, 0) << text;
        }
        if (const auto found = parse_size(text)) {
            EXPECT_TRUE(found->width.value > 0 && found->height.value > 0) << text;
        }
    }
}

}  // namespace
}  // namespace hangtrue::base
