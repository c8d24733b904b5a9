// SPDX-License-Identifier: Apache-2.0
#include "engine/text/edit.h"

#include <gtest/gtest.h>

#include <random>

#include "engine/base/error.h"
#include "engine/text/node.h"
#include "tests/support/random.h"

namespace hangtrue::text {
namespace {

constexpr std::string_view shop =
    "# A shop\n"
    "format = 1\n"
    "name = \"Größe\"   # its name\n"
    "days=7#soon\n"
    "ppi = { least = 100, wanted = 150 } # ppi\n"
    "none = {}\n"
    "\n"
    "[[medium]]\n"
    "id = 'first'\n"
    "list = [ 1,\n"
    "         2 ] # two\n"
    "# end of the first\n"
    "\n"
    "  [medium.file]   # rules\n"
    "  bits = 8\n"
    "\n"
    "[[medium]]\n"
    "id = \"second\"\n"
    "wrap.depth = 38\n"
    "\n"
    "[a.b]\n"
    "c = 1";

/// `shop` with the one place `from` replaced by `to`.
std::string replaced(std::string_view from, std::string_view to) {
    std::string text(shop);
    const std::size_t at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    EXPECT_EQ(text.find(from, at + 1), std::string::npos) << from;
    return text.replace(at, from.size(), to);
}

std::string edited(const Path& path, const Value& value) { return with_value(shop, "shop.toml", path, value); }

TEST(edit, a_value_is_changed_and_its_comment_and_spacing_stay) {
    EXPECT_EQ(edited({"name"}, "Marrow \"&\" Tine"), replaced("\"Größe\"", "\"Marrow \\\"&\\\" Tine\""));
    EXPECT_EQ(edited({"days"}, std::int64_t{12}), replaced("days=7#", "days=12#"));
    EXPECT_EQ(edited({"ppi", "wanted"}, 155.5), replaced("wanted = 150", "wanted = 155.5"));
    EXPECT_EQ(edited({"medium", 0U, "id"}, "x"), replaced("'first'", "\"x\""));
    EXPECT_EQ(edited({"medium", 0U, "file", "bits"}, true), replaced("bits = 8", "bits = true"));
    EXPECT_EQ(edited({"medium", 1U, "wrap", "depth"}, std::int64_t{19}), replaced("depth = 38", "depth = 19"));
    EXPECT_EQ(edited({"a", "b", "c"}, 2.0), replaced("c = 1", "c = 2.0"));
}

TEST(edit, a_list_over_two_lines_is_changed_whole) {
    EXPECT_EQ(edited({"medium", 0U, "list"}, std::vector<std::int64_t>{3}), replaced("[ 1,\n         2 ]", "[3]"));
}

TEST(edit, a_missing_key_is_added_behind_the_last_of_its_table) {
    EXPECT_EQ(edited({"postage"}, 9.5), replaced("none = {}\n", "none = {}\npostage = 9.5\n"));
    EXPECT_EQ(edited({"medium", 0U, "finish"}, "satin"), replaced("# two\n", "# two\nfinish = \"satin\"\n"));
    EXPECT_EQ(edited({"medium", 0U, "file", "big"}, true), replaced("  bits = 8\n", "  bits = 8\n  big = true\n"));
    EXPECT_EQ(edited({"a", "b", "d"}, true), std::string(shop) + "\nd = true");
}

TEST(edit, a_missing_key_of_a_table_in_braces_is_added_within_them) {
    EXPECT_EQ(edited({"ppi", "most"}, std::int64_t{300}), replaced("wanted = 150 }", "wanted = 150, most = 300 }"));
    EXPECT_EQ(edited({"none", "at all"}, true), replaced("{}", "{ \"at all\" = true }"));
}

TEST(edit, a_missing_table_becomes_a_dotted_key_of_its_parent) {
    EXPECT_EQ(edited({"medium", 1U, "wrap", "fold"}, std::int64_t{20}),
              replaced("depth = 38\n", "depth = 38\nwrap.fold = 20\n"));
    EXPECT_EQ(edited({"medium", 1U, "file", "bits"}, std::int64_t{8}),
              replaced("depth = 38\n", "depth = 38\nfile.bits = 8\n"));
    EXPECT_EQ(edited({"bleed", "place"}, "none"), replaced("none = {}\n", "none = {}\nbleed.place = \"none\"\n"));
}

TEST(edit, a_file_with_windows_line_ends_and_a_byte_order_mark_keeps_them) {
    const std::string text =
        "\xef\xbb\xbf"
        "a = 1\r\n[b]\r\nc = 2\r\n";
    EXPECT_EQ(with_value(text, "x.toml", {"a"}, std::int64_t{3}),
              "\xef\xbb\xbf"
              "a = 3\r\n[b]\r\nc = 2\r\n");
    EXPECT_EQ(with_value(text, "x.toml", {"d"}, true),
              "\xef\xbb\xbf"
              "a = 1\r\nd = true\r\n[b]\r\nc = 2\r\n");
    EXPECT_EQ(with_value(text, "x.toml", {"b", "d"}, true),
              "\xef\xbb\xbf"
              "a = 1\r\n[b]\r\nc = 2\r\nd = true\r\n");
    EXPECT_EQ(with_value("\xef\xbb\xbf[b]\n", "x.toml", {"d"}, true),
              "\xef\xbb\xbf"
              "d = true\n[b]\n");
}

TEST(edit, a_table_without_lines_gets_its_first) {
    EXPECT_EQ(with_value("[b] # why\n\n[c]\n", "x.toml", {"b", "d"}, true), "[b] # why\nd = true\n\n[c]\n");
    EXPECT_EQ(with_value("", "x.toml", {"d"}, true), "d = true\n");
}

TEST(edit, what_is_a_table_or_not_there_is_refused_with_its_place) {
    const auto complaint = [](const Path& path) -> std::string {
        try {
            edited(path, true);
        } catch (const base::UnreadableInput& error) {
            return error.what();
        }
        return "";
    };
    EXPECT_EQ(complaint({"ppi"}), "shop.toml, line 5, column 7: \"ppi\" is a table, not one value.");
    EXPECT_EQ(complaint({"medium"}), "shop.toml, line 8, column 1: \"medium\" is a table, not one value.");
    EXPECT_EQ(complaint({"medium", 2U, "id"}),
              "shop.toml, line 8, column 1: there is no table number 3 here to change.");
    EXPECT_EQ(complaint({"days", "long"}), "shop.toml, line 4, column 6: this is no table, so it has no \"long\".");
    EXPECT_EQ(complaint({"medium", "id"}), "shop.toml, line 8, column 1: this is no table, so it has no \"id\".");
    EXPECT_EQ(complaint({}), "shop.toml, line 1, column 1: there is nothing named here to change.");
}

/// All paths to single values.
void collect(const Node& node, const Path& path, std::vector<Path>& paths) {
    for (std::size_t i = 0; i < node.children.size(); ++i) {
        const Node& child = node.children[i];
        Path to_child = path;
        if (node.kind == Node::Kind::table) to_child.emplace_back(child.key);
        if (node.kind == Node::Kind::array) to_child.emplace_back(i);
        const bool holds_tables =
            child.kind == Node::Kind::table || (child.kind == Node::Kind::array && !child.children.empty() &&
                                                child.children.front().kind == Node::Kind::table);
        if (holds_tables) {
            collect(child, to_child, paths);
        } else {
            paths.push_back(to_child);
        }
    }
}

TEST(edit, a_thousand_random_changes_each_leave_all_other_lines_as_they_were) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::vector<Path> paths;
    const Node tree = parse_tree(shop, "shop.toml");
    collect(tree, {}, paths);
    ASSERT_EQ(paths.size(), 11U);
    const Value values[] = {true, std::int64_t{-3}, 0.1, "text # no comment", std::vector<std::string>{"a", "]"}};
    std::string text(shop);
    for (int i = 0; i < 1000; ++i) {
        const Path& path = paths[random() % paths.size()];
        if (path == Path{"format"}) continue;
        const std::string changed = with_value(text, "shop.toml", path, values[random() % std::size(values)]);
        // What stands before and after the change is the same: the two differ in one stretch alone,
        // and that holds no line end beyond those of the old value.
        std::size_t front = 0;
        while (front < std::min(text.size(), changed.size()) && text[front] == changed[front]) ++front;
        std::size_t back = 0;
        while (back < std::min(text.size(), changed.size()) - front &&
               text[text.size() - 1 - back] == changed[changed.size() - 1 - back]) {
            ++back;
        }
        const std::string removed = text.substr(front, text.size() - front - back);
        EXPECT_EQ(changed.substr(front, changed.size() - front - back).find('\n'), std::string::npos);
        const bool is_list = path == Path{"medium", 0U, "list"};
        EXPECT_TRUE(is_list || removed.find('\n') == std::string::npos) << removed;
        text = changed;
    }
    for (const std::string_view comment :
         {"# A shop\n", "# its name\n", "#soon\n", "# ppi\n", "# two\n", "# end of the first\n", "# rules\n"}) {
        EXPECT_NE(text.find(comment), std::string::npos) << comment;
    }
}

}  // namespace
}  // namespace hangtrue::text
