// SPDX-License-Identifier: Apache-2.0
#include "engine/text/writer.h"

#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <limits>
#include <random>

#include "engine/text/document.h"
#include "tests/support/random.h"

namespace hangtrue::text {
namespace {

std::uint64_t bits(double value) { return std::bit_cast<std::uint64_t>(value); }

/// Writes the numbers and reads them again.
std::vector<double> read_back(const std::vector<double>& values) {
    const std::string text = Writer(1).value("numbers", values).text();
    const auto document = Document::parse(text, "plan.toml", 1);
    std::vector<double> read;
    for (const Item& item : document.root().required("numbers").items()) read.push_back(item.any_real());
    return read;
}

TEST(writer, a_real_is_spelled_short_and_never_as_an_integer) {
    EXPECT_EQ(real_text(0.1), "0.1");
    EXPECT_EQ(real_text(3), "3.0");
    EXPECT_EQ(real_text(-0.0), "-0.0");
    EXPECT_EQ(real_text(1e300), "1e+300");
    EXPECT_EQ(real_text(1.0 / 3), "0.3333333333333333");
    EXPECT_EQ(real_text(std::numeric_limits<double>::infinity()), "inf");
    EXPECT_EQ(real_text(-std::numeric_limits<double>::infinity()), "-inf");
    EXPECT_EQ(real_text(std::numeric_limits<double>::quiet_NaN()), "nan");
}

TEST(writer, twenty_thousand_reals_of_every_size_read_back_to_the_same_bits) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::vector<double> values{0.0,
                               -0.0,
                               std::numeric_limits<double>::denorm_min(),
                               std::numeric_limits<double>::min(),
                               std::numeric_limits<double>::max(),
                               std::numeric_limits<double>::lowest(),
                               std::nextafter(1.0, 2.0),
                               std::numeric_limits<double>::infinity()};
    while (values.size() < 20000) {
        const auto value = std::bit_cast<double>(random());
        if (!std::isnan(value)) values.push_back(value);
    }
    const auto read = read_back(values);
    ASSERT_EQ(read.size(), values.size());
    for (std::size_t i = 0; i < values.size(); ++i) ASSERT_EQ(bits(read[i]), bits(values[i])) << real_text(values[i]);
}

TEST(writer, strings_with_quotes_line_ends_and_control_characters_read_back) {
    std::string text = "a \"quoted\" \\ word\n\ttab \x01\x1f\x7f größe";
    text += '\0';
    const auto document = Document::parse(Writer(1).value("name", text).text(), "plan.toml", 1);
    EXPECT_EQ(document.root().required("name").string(), text);
}

TEST(writer, keys_that_are_not_bare_are_quoted) {
    EXPECT_EQ(key_text("most_bytes-2"), "most_bytes-2");
    EXPECT_EQ(key_text("a b"), "\"a b\"");
    EXPECT_EQ(key_text(""), "\"\"");
    EXPECT_EQ(key_text("a.b"), "\"a.b\"");
}

TEST(writer, a_document_is_written_in_the_order_of_the_calls) {
    Writer writer(1);
    writer.comment("A plan.\nWritten by the program.").blank();
    writer.value("picture", "ridge.tif")
        .value("ppi", 300.0)
        .value("width_px", std::int64_t{10800})
        .value("upright", true);
    writer.table({"crop", "real part"}).value("x", 0.5);
    writer.next_table({"stage"})
        .value("name", "resample")
        .next_table({"stage"})
        .value("versions", std::vector<std::int64_t>{1, 2});
    EXPECT_EQ(writer.text(),
              "format = 1\n# A plan.\n# Written by the program.\n\npicture = \"ridge.tif\"\nppi = "
              "300.0\nwidth_px = 10800\n"
              "upright = true\n\n[crop.\"real part\"]\nx = 0.5\n\n[[stage]]\nname = "
              "\"resample\"\n\n[[stage]]\nversions = [1, 2]\n");
    const auto document = Document::parse(writer.text(), "plan.toml", 1);
    EXPECT_EQ(document.root().tables("stage").size(), 2U);
}

TEST(writer, integers_read_back_to_the_ends_of_64_bits) {
    const auto least = std::numeric_limits<std::int64_t>::min();
    const auto most = std::numeric_limits<std::int64_t>::max();
    const auto document = Document::parse(Writer(1).value("a", least).value("b", most).text(), "plan.toml", 1);
    EXPECT_EQ(document.root().required("a").integer(least, most), least);
    EXPECT_EQ(document.root().required("b").integer(least, most), most);
}

}  // namespace
}  // namespace hangtrue::text
