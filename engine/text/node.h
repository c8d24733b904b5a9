// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A parsed TOML document as a tree of values with their places: the inside of Document, and what
/// editing works on. Pure data.

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "engine/text/document.h"

namespace hangtrue::text {

struct Node {
    enum class Kind { boolean, integer, real, string, date, array, table };

    Kind kind = Kind::table;
    Place place;
    std::size_t begin = 0;  ///< Bytes of the text that spell the value; of a table with a header, its header.
    std::size_t end = 0;
    std::string key;  ///< Of a table's member.
    Place key_place;
    std::size_t key_end = 0;

    bool boolean = false;
    std::int64_t integer = 0;
    double real = 0;
    std::string text;            ///< A string's value, or a number as it is spelled.
    std::vector<Node> children;  ///< An array's items, or a table's members in the order of the file.

    bool is_known = false;           ///< Somebody asked for it.
    std::vector<std::string> asked;  ///< Keys that were asked of this table.

    Node* member(std::string_view name);
    const Node* member(std::string_view name) const;
};

/// Throws UnreadableInput with the place where `text` stops being TOML.
Node parse_tree(std::string_view text, const std::string& file_name);

/// The tree of `text`'s values alone: equal when both read the same, wherever things stand.
bool same_values(const Node& a, const Node& b);

[[noreturn]] void fail_at(const std::string& file_name, Place place, const std::string& what);

}  // namespace hangtrue::text
