// SPDX-License-Identifier: Apache-2.0
#include "engine/text/document.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/nearest.h"
#include "engine/base/units_text.h"
#include "engine/text/node.h"

namespace hangtrue::text {
namespace {

using Kind = Node::Kind;

std::string_view name_of(Kind kind) {
    switch (kind) {
        case Kind::boolean: return "true or false";
        case Kind::integer: return "a whole number";
        case Kind::real: return "a number";
        case Kind::string: return "a text in quotes";
        case Kind::date: return "a date or time";
        case Kind::array: return "a list";
        case Kind::table: return "a table";
    }
    return "";
}

std::string name_for_message(const Node& node) { return node.key.empty() ? "this" : quoted(node.key); }

const Node& expect(const Node& node, Kind kind, const std::string& file) {
    if (node.kind != kind) {
        fail_at(file, node.place,
                name_for_message(node) + " must be " + std::string(name_of(kind)) + ", not " +
                    std::string(name_of(node.kind)) + ".");
    }
    return node;
}

std::string unknown_key(const Node& member, std::span<const std::string> known) {
    std::string what = "unknown key " + quoted(member.key) + ".";
    if (const auto nearest = base::nearest_word(member.key, known))
        return what + " Did you mean " + quoted(*nearest) + "?";
    if (known.empty()) return what;
    std::vector<std::string> sorted(known.begin(), known.end());
    std::sort(sorted.begin(), sorted.end());
    return what + " Known here: " + list_of_words(sorted) + ".";
}

bool is_asked(const Node& table, std::string_view key) {
    return std::find(table.asked.begin(), table.asked.end(), key) != table.asked.end();
}

/// Marks `key` as one that this table may have.
Node* ask(Node& table, std::string_view key) {
    if (!is_asked(table, key)) table.asked.emplace_back(key);
    Node* member = table.member(key);
    if (member != nullptr) member->is_known = true;
    return member;
}

void refuse_unknown(const Node& node, const std::string& file) {
    for (const Node& child : node.children) {
        if (node.kind == Kind::table && !child.is_known) fail_at(file, child.key_place, unknown_key(child, node.asked));
        refuse_unknown(child, file);
    }
}

std::string number(double value) { return base::number_text(value, 6); }

}  // namespace

std::string quoted(std::string_view word) {
    std::string text = "\"";
    text += word;
    text += '"';
    return text;
}

std::string list_of_words(std::span<const std::string> words) {
    std::string list;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) list += i + 1 == words.size() ? " or " : ", ";
        list += quoted(words[i]);
    }
    return list;
}

Place Item::place() const { return m_node->place; }
bool Item::is_string() const { return m_node->kind == Kind::string; }
bool Item::is_number() const { return m_node->kind == Kind::integer || m_node->kind == Kind::real; }

std::string Item::string() const { return expect(*m_node, Kind::string, *m_file).text; }

std::string Item::filled_string() const {
    std::string text = string();
    if (text.find_first_not_of(" \t\r\n") == std::string::npos) fail(name_for_message(*m_node) + " must not be empty.");
    return text;
}

bool Item::boolean() const { return expect(*m_node, Kind::boolean, *m_file).boolean; }

std::int64_t Item::integer(std::int64_t least, std::int64_t most) const {
    const std::int64_t value = expect(*m_node, Kind::integer, *m_file).integer;
    if (value < least || value > most) {
        fail(name_for_message(*m_node) + " must be from " + std::to_string(least) + " to " + std::to_string(most) +
             ", not " + std::to_string(value) + ".");
    }
    return value;
}

double Item::any_real() const {
    if (!is_number()) expect(*m_node, Kind::real, *m_file);
    return m_node->real;
}

double Item::real(double least, double most) const {
    const double value = any_real();
    if (!(value >= least && value <= most)) {
        fail(name_for_message(*m_node) + " must be from " + number(least) + " to " + number(most) + ", not " +
             m_node->text + ".");
    }
    return value;
}

base::Millimetres Item::length() const {
    if (!is_string()) fail(name_for_message(*m_node) + R"( must be a length with its unit, in quotes: "38 mm".)");
    const auto length = base::parse_length(m_node->text);
    if (!length) fail(quoted(m_node->text) + R"( is not a length. Write it with its unit: "38 mm", "1.5 in".)");
    return *length;
}

base::Millimetres Item::length(base::Millimetres least, base::Millimetres most) const {
    const base::Millimetres value = length();
    if (!(value >= least && value <= most)) {
        fail(name_for_message(*m_node) + " must be from " + number(least.value) + " mm to " + number(most.value) +
             " mm (" + base::number_text(base::in_inches(least), 3) + " to " +
             base::number_text(base::in_inches(most), 3) + " in), not " + quoted(m_node->text) + ".");
    }
    return value;
}

base::SizeMm Item::size() const {
    if (!is_string()) fail(name_for_message(*m_node) + R"( must be a size with its unit, in quotes: "36 x 24 in".)");
    const auto size = base::parse_size(m_node->text);
    if (!size) fail(quoted(m_node->text) + R"( is not a size. Write both sides and their unit: "36 x 24 in".)");
    return *size;
}

std::vector<Item> Item::items() const {
    expect(*m_node, Kind::array, *m_file);
    std::vector<Item> items;
    for (Node& child : m_node->children) items.emplace_back(child, *m_file);
    return items;
}

std::vector<std::string> Item::strings() const {
    std::vector<std::string> texts;
    for (const Item& item : items()) texts.push_back(item.string());
    return texts;
}

Table Item::table() const {
    expect(*m_node, Kind::table, *m_file);
    return {*m_node, *m_file};
}

std::string Item::spelling() const {
    if (!is_number()) expect(*m_node, Kind::string, *m_file);
    return m_node->text;
}

std::size_t Item::index_of_word(std::span<const std::string> known) const {
    const std::string word = string();
    const auto found = std::find(known.begin(), known.end(), word);
    if (found != known.end()) return static_cast<std::size_t>(found - known.begin());
    const auto nearest = base::nearest_word(word, known);
    const std::string what =
        quoted(word) + " is no " + (m_node->key.empty() ? "known word." : "known " + quoted(m_node->key) + ".");
    if (nearest) fail(what + " Did you mean " + quoted(*nearest) + "?");
    fail(what + " Write " + list_of_words(known) + ".");
}

void Item::fail(const std::string& what) const { fail_at(*m_file, m_node->place, what); }

Place Table::place() const { return m_node->place; }

std::optional<Item> Table::find(std::string_view key) {
    Node* member = ask(*m_node, key);
    return member != nullptr ? std::optional<Item>(std::in_place, *member, *m_file) : std::nullopt;
}

Item Table::required(std::string_view key) {
    if (const auto item = find(key)) return *item;
    // A mistyped key is missing and unknown at once: the second says more.
    const std::vector<std::string> wanted{std::string(key)};
    for (const Node& member : m_node->children) {
        if (!member.is_known && base::nearest_word(member.key, wanted)) {
            fail_at(*m_file, member.key_place, unknown_key(member, wanted));
        }
    }
    fail(quoted(key) + " is missing" + (m_node->key.empty() ? "." : " in " + quoted(m_node->key) + "."));
}

std::optional<Table> Table::find_table(std::string_view key) {
    const auto item = find(key);
    return item ? std::optional<Table>(item->table()) : std::nullopt;
}

Table Table::required_table(std::string_view key) { return required(key).table(); }

std::vector<Table> Table::tables(std::string_view key) {
    std::vector<Table> tables;
    if (const auto item = find(key)) {
        for (const Item& entry : item->items()) tables.push_back(entry.table());
    }
    return tables;
}

std::vector<std::pair<std::string, Item>> Table::all() {
    std::vector<std::pair<std::string, Item>> members;
    for (Node& member : m_node->children) {
        member.is_known = true;
        members.emplace_back(member.key, Item(member, *m_file));
    }
    return members;
}

void Table::fail(const std::string& what) const { fail_at(*m_file, m_node->place, what); }

Document::Document(std::string file_name, Node root)
    : m_file(std::make_unique<std::string>(std::move(file_name))), m_root(std::make_unique<Node>(std::move(root))) {}

Document::Document(Document&&) noexcept = default;
Document& Document::operator=(Document&&) noexcept = default;
Document::~Document() = default;

Document Document::parse(std::string_view text, std::string file_name, int newest_format) {
    Node tree = parse_tree(text, file_name);
    Document document(std::move(file_name), std::move(tree));
    Table root = document.root();
    const auto format = root.find("format");
    const std::string newest = std::to_string(newest_format);
    if (!format) fail_at(document.file_name(), {}, "the file must begin with the line: format = " + newest);
    if (!format->is_number()) format->fail("\"format\" must be a whole number: format = " + newest);
    const std::int64_t number = format->integer(1, INT32_MAX);
    if (number > newest_format) {
        format->fail("this file has format " + std::to_string(number) +
                     ", but this version of Hangtrue reads formats up to " + newest +
                     ". A newer version is needed to read it.");
    }
    document.m_format = static_cast<int>(number);
    return document;
}

Table Document::root() const { return {*m_root, *m_file}; }

void Document::refuse_unknown_keys() const { refuse_unknown(*m_root, *m_file); }

}  // namespace hangtrue::text
