// SPDX-License-Identifier: Apache-2.0
#include "engine/text/document.h"

#include <gtest/gtest.h>

#include <functional>

#include "engine/base/error.h"

namespace hangtrue::text {
namespace {

/// What reading `text` complains about, without the file's name; "" when it does not.
std::string complaint(const std::string& text, const std::function<void(Table&)>& read = {}) {
    try {
        const Document document = Document::parse(text, "shop.toml", 1);
        Table root = document.root();
        if (read) read(root);
        document.refuse_unknown_keys();
    } catch (const base::UnreadableInput& error) {
        const std::string what = error.what();
        const std::string opening = "shop.toml, line ";
        EXPECT_TRUE(what.starts_with(opening)) << what;
        return what.substr(std::min(opening.size(), what.size()));
    }
    return "";
}

/// Of "format = 1" and a second line "key = VALUE".
std::string complaint_about(const std::string& value, const std::function<void(const Item&)>& read) {
    return complaint("format = 1\nkey = " + value + "\n", [&](Table& root) { read(root.required("key")); });
}

TEST(document, a_value_of_each_kind_is_read_as_it_stands) {
    const auto document = Document::parse(
        "format = 1\nname = \"Quillfen\"\nyes = true\ndays = 7\nfactor = 1.5\n"
        "whole = 2\nbar = \"38 mm\"\nsize = \"36 x 24 in\"\nwords = [\"a\", \"b\"]\n",
        "shop.toml", 1);
    Table root = document.root();
    EXPECT_EQ(document.format(), 1);
    EXPECT_EQ(root.required("name").string(), "Quillfen");
    EXPECT_TRUE(root.required("yes").boolean());
    EXPECT_EQ(root.required("days").integer(0, 9), 7);
    EXPECT_EQ(root.required("factor").real(1, 2), 1.5);
    EXPECT_EQ(root.required("whole").real(2, 2), 2.0);
    EXPECT_EQ(root.required("bar").length().value, 38);
    EXPECT_EQ(root.required("size").size(), (base::SizeMm{base::inches(36), base::inches(24)}));
    EXPECT_EQ(root.required("words").strings(), (std::vector<std::string>{"a", "b"}));
    EXPECT_FALSE(root.find("other").has_value());
    EXPECT_NO_THROW(document.refuse_unknown_keys());
}

TEST(document, tables_and_arrays_of_tables_are_read_in_the_order_of_the_file) {
    const auto document = Document::parse(
        "format = 1\n[file]\nz = 1\n[[size]]\nname = \"b\"\n[[size]]\nname = \"a\"\n[free]\ny = "
        "1\nx = 2\n",
        "shop.toml", 1);
    Table root = document.root();
    EXPECT_EQ(root.required_table("file").required("z").integer(0, 1), 1);
    auto sizes = root.tables("size");
    ASSERT_EQ(sizes.size(), 2U);
    EXPECT_EQ(sizes[0].required("name").string(), "b");
    EXPECT_EQ(sizes[1].required("name").string(), "a");
    EXPECT_EQ(sizes[1].place(), (Place{6, 1}));
    const auto members = root.required_table("free").all();
    ASSERT_EQ(members.size(), 2U);
    EXPECT_EQ(members[0].first, "y");
    EXPECT_EQ(members[1].second.integer(0, 2), 2);
    EXPECT_TRUE(root.tables("panel").empty());
    EXPECT_NO_THROW(document.refuse_unknown_keys());
}

TEST(document, an_unknown_key_names_its_place_and_the_nearest_known_one) {
    EXPECT_EQ(
        complaint("format = 1\n[medium]\n  pip = 3\n", [](Table& root) { root.required_table("medium").find("ppi"); }),
        "3, column 3: unknown key \"pip\". Did you mean \"ppi\"?");
    EXPECT_EQ(complaint("format = 1\nwallpaper = 3\n", [](Table& root) { root.find("name"); }),
              "2, column 1: unknown key \"wallpaper\". Known here: \"format\" or \"name\".");
}

TEST(document, the_first_unknown_key_of_the_file_is_named_even_in_a_table_in_braces) {
    EXPECT_EQ(complaint("format = 1\nppi = { want = 3 }\n[z]\n",
                        [](Table& root) { root.required_table("ppi").find("wanted"); }),
              "2, column 9: unknown key \"want\". Did you mean \"wanted\"?");
}

TEST(document, a_required_key_that_was_mistyped_is_called_unknown_and_not_missing) {
    EXPECT_EQ(complaint("format = 1\nnmae = \"x\"\n", [](Table& root) { root.required("name"); }),
              "2, column 1: unknown key \"nmae\". Did you mean \"name\"?");
}

TEST(document, a_missing_key_points_to_its_table) {
    EXPECT_EQ(complaint("format = 1\n\n[file]\n", [](Table& root) { root.required_table("file").required("formats"); }),
              "3, column 1: \"formats\" is missing in \"file\".");
    EXPECT_EQ(complaint("format = 1\n", [](Table& root) { root.required("name"); }),
              "1, column 1: \"name\" is missing.");
}

TEST(document, the_format_line_is_demanded_and_a_newer_format_is_refused_as_such) {
    EXPECT_EQ(complaint("name = 1\n"), "1, column 1: the file must begin with the line: format = 1");
    EXPECT_EQ(complaint(""), "1, column 1: the file must begin with the line: format = 1");
    EXPECT_EQ(complaint("format = 2\n"),
              "1, column 10: this file has format 2, but this version of Hangtrue reads formats up to 1. "
              "A newer version is needed to read it.");
    EXPECT_EQ(complaint("format = 0\n"), "1, column 10: \"format\" must be from 1 to 2147483647, not 0.");
    EXPECT_EQ(complaint("format = \"1\"\n"), "1, column 10: \"format\" must be a whole number: format = 1");
    EXPECT_EQ(complaint("format = 1.5\n"), "1, column 10: \"format\" must be a whole number, not a number.");
}

TEST(document, a_value_of_the_wrong_kind_says_what_it_should_be) {
    const auto as_text = [](const Item& item) { item.string(); };
    EXPECT_EQ(complaint_about("7", as_text), "2, column 7: \"key\" must be a text in quotes, not a whole number.");
    EXPECT_EQ(complaint_about("[1]", as_text), "2, column 7: \"key\" must be a text in quotes, not a list.");
    EXPECT_EQ(complaint_about("{}", as_text), "2, column 7: \"key\" must be a text in quotes, not a table.");
    EXPECT_EQ(complaint_about("1979-05-27", as_text),
              "2, column 7: \"key\" must be a text in quotes, not a date or time.");
    EXPECT_EQ(complaint_about("\"yes\"", [](const Item& item) { item.boolean(); }),
              "2, column 7: \"key\" must be true or false, not a text in quotes.");
    EXPECT_EQ(complaint_about("1.5", [](const Item& item) { item.integer(0, 9); }),
              "2, column 7: \"key\" must be a whole number, not a number.");
    EXPECT_EQ(complaint_about("true", [](const Item& item) { item.real(0, 9); }),
              "2, column 7: \"key\" must be a number, not true or false.");
    EXPECT_EQ(complaint_about("1", [](const Item& item) { item.table(); }),
              "2, column 7: \"key\" must be a table, not a whole number.");
    EXPECT_EQ(complaint_about("[\"a\", 2]", [](const Item& item) { item.strings(); }),
              "2, column 13: this must be a text in quotes, not a whole number.");
}

TEST(document, a_number_outside_its_range_names_the_range) {
    EXPECT_EQ(complaint_about("10", [](const Item& item) { item.integer(0, 9); }),
              "2, column 7: \"key\" must be from 0 to 9, not 10.");
    EXPECT_EQ(complaint_about("-0.1", [](const Item& item) { item.real(0, 0.2); }),
              "2, column 7: \"key\" must be from 0 to 0.2, not -0.1.");
    EXPECT_EQ(complaint_about("nan", [](const Item& item) { item.real(0, 1); }),
              "2, column 7: \"key\" must be from 0 to 1, not nan.");
    EXPECT_EQ(complaint_about("inf", [](const Item& item) { item.real(0, 1); }),
              "2, column 7: \"key\" must be from 0 to 1, not inf.");
    EXPECT_EQ(complaint_about("\"40 cm\"", [](const Item& item) { item.length({0}, {300}); }),
              "2, column 7: \"key\" must be from 0 mm to 300 mm (0 to 11.811 in), not \"40 cm\".");
}

TEST(document, a_length_needs_its_unit_and_a_size_both_sides) {
    const auto as_length = [](const Item& item) { item.length(); };
    const auto as_size = [](const Item& item) { item.size(); };
    EXPECT_EQ(complaint_about("38", as_length),
              "2, column 7: \"key\" must be a length with its unit, in quotes: \"38 mm\".");
    EXPECT_EQ(complaint_about("\"38\"", as_length),
              "2, column 7: \"38\" is not a length. Write it with its unit: \"38 mm\", \"1.5 in\".");
    EXPECT_EQ(complaint_about("\"-1 mm\"", as_length),
              "2, column 7: \"-1 mm\" is not a length. Write it with its unit: \"38 mm\", \"1.5 in\".");
    EXPECT_EQ(complaint_about("\"36 in\"", as_size),
              "2, column 7: \"36 in\" is not a size. Write both sides and their unit: \"36 x 24 in\".");
    EXPECT_EQ(complaint_about("\"0 x 24 in\"", as_size),
              "2, column 7: \"0 x 24 in\" is not a size. Write both sides and their unit: \"36 x "
              "24 in\".");
}

TEST(document, a_word_outside_the_list_gets_the_nearest_or_all) {
    constexpr Word<int> words[] = {{"white", 1}, {"bare-metal", 2}};
    const auto as_word = [&](const Item& item) { EXPECT_EQ(item.one_of(words), 2); };
    EXPECT_EQ(complaint_about("\"bare-metal\"", as_word), "");
    EXPECT_EQ(complaint_about("\"bare metal\"", as_word),
              "2, column 7: \"bare metal\" is no known \"key\". Did you mean \"bare-metal\"?");
    EXPECT_EQ(complaint_about("\"gold\"", as_word),
              "2, column 7: \"gold\" is no known \"key\". Write \"white\" or \"bare-metal\".");
}

TEST(document, text_that_is_no_toml_is_refused_where_it_stops_being_so) {
    EXPECT_EQ(complaint("format = 1\nname = \n"),
              "2, column 8: this is not TOML: key-value pair: expected value, saw '\\n'.");
    EXPECT_EQ(complaint("format = 1\na = 1\na = 2\n").substr(0, 31), "3, column 5: this is not TOML: ");
    EXPECT_EQ(complaint("format = 1\nprice = 24,90\n").substr(0, 32), "2, column 11: this is not TOML: ");
    EXPECT_EQ(complaint("format = 1\n[x\n").substr(0, 31), "2, column 3: this is not TOML: ");
    EXPECT_NE(complaint("format = 1\na = \xff\n"), "");
}

TEST(document, columns_count_letters_and_not_bytes) {
    EXPECT_EQ(complaint("format = 1\n\"größe\" = 3\n"), "2, column 1: unknown key \"größe\". Known here: \"format\".");
    EXPECT_EQ(
        complaint("format = 1\na = { \"ö\" = 1, b = 2 }\n", [](Table& root) { root.required_table("a").find("ö"); }),
        "2, column 16: unknown key \"b\". Known here: \"ö\".");
}

TEST(document, a_key_of_a_hundred_thousand_parts_is_refused_and_does_not_end_the_stack) {
    std::string deep = "format = 1\n";
    for (int i = 0; i < 100000; ++i) deep += "a.";
    EXPECT_EQ(complaint(deep + "a = 1\n"), "2, column 32: a key of so many parts is not read here.");
    std::string brackets = "format = 1\na = ";
    brackets.append(100000, '[');
    EXPECT_NE(complaint(brackets), "");
}

TEST(document, dots_in_strings_and_comments_make_no_deep_key) {
    EXPECT_EQ(complaint("format = 1 # ....................\na = \"....................\"\nb = "
                        "'''\n....................\"\n'''\n"
                        "c = \"\\\"....................\"\n",
                        [](Table& root) {
                            for (const auto* key : {"a", "b", "c"}) root.find(key);
                        }),
              "");
}

TEST(document, a_moved_document_keeps_its_handles) {
    auto first = std::make_unique<Document>(Document::parse("format = 1\nname = 3\n", "shop.toml", 1));
    Table root = first->root();
    const Document second = std::move(*first);
    first.reset();
    EXPECT_THROW(root.required("name").string(), base::UnreadableInput);
    EXPECT_NO_THROW(second.refuse_unknown_keys());
}

}  // namespace
}  // namespace hangtrue::text
