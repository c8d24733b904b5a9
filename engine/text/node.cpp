// SPDX-License-Identifier: Apache-2.0
#include "engine/text/node.h"

#include <toml++/toml.h>

#include <algorithm>
#include <bit>
#include <cctype>

#include "engine/base/error.h"

namespace hangtrue::text {
namespace {

constexpr std::string_view byte_order_mark = "\xef\xbb\xbf";
/// More parts than any file of ours has. Each part of a key is a table within a table, and the
/// parser recurses into them: a key of a hundred thousand parts would end the stack.
constexpr int most_key_parts = 16;

/// From lines and columns to bytes.
class Lines {
  public:
    explicit Lines(std::string_view text) : m_text(text) {
        m_starts.push_back(text.starts_with(byte_order_mark) ? byte_order_mark.size() : 0);
        for (std::size_t i = 0; i < text.size(); ++i) {
            if (text[i] == '\n') m_starts.push_back(i + 1);
        }
    }

    std::size_t offset(toml::source_position position) const {
        if (position.line < 1 || position.line > m_starts.size()) return m_text.size();
        std::size_t at = m_starts[position.line - 1];
        for (toml::source_index column = 1; column < position.column && at < m_text.size(); ++column) {
            ++at;
            while (at < m_text.size() && (static_cast<unsigned char>(m_text[at]) & 0xC0U) == 0x80U) ++at;
        }
        return at;
    }

  private:
    std::string_view m_text;
    std::vector<std::size_t> m_starts;
};

Place place_of(toml::source_position position) {
    return {std::max(1, static_cast<int>(position.line)), std::max(1, static_cast<int>(position.column))};
}

/// Refuses keys of too many parts. Strings and comments are stepped over as TOML reads them; behind
/// the first mistake this may misjudge, but there the parser has stopped already.
void refuse_deep_keys(std::string_view text, const std::string& file_name) {
    int parts = 0;
    Place place;
    for (std::size_t i = 0; i < text.size(); ++i, ++place.column) {
        const char c = text[i];
        if (c == '#') {
            while (i + 1 < text.size() && text[i + 1] != '\n') ++i;
        } else if (c == '"' || c == '\'') {
            const std::string_view triple = text.substr(i, 3);
            const bool is_long = triple.size() == 3 && triple[1] == c && triple[2] == c;
            const std::size_t quotes = is_long ? 3 : 1;
            for (i += quotes; i < text.size(); ++i) {
                if (text[i] == '\\' && c == '"') {
                    ++i;
                } else if (text[i] == '\n') {
                    if (!is_long) break;
                    ++place.line;
                } else if (text[i] == c && (!is_long || text.substr(i, 3) == triple)) {
                    i += quotes - 1;
                    break;
                }
            }
            if (i < text.size() && text[i] == '\n') parts = 0;
        } else if (c == '.') {
            if (++parts >= most_key_parts) fail_at(file_name, place, "a key of so many parts is not read here.");
        } else if (std::string_view("=,[]{}").find(c) != std::string_view::npos) {
            parts = 0;
        }
        if (i < text.size() && text[i] == '\n') {
            parts = 0;
            ++place.line;
            place.column = 0;
        }
    }
}

/// The parser's words, without its opening.
std::string reason(std::string_view description) {
    constexpr std::string_view opening = "Error while parsing ";
    if (description.starts_with(opening)) description.remove_prefix(opening.size());
    std::string text;
    for (const char c : description) text += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    if (!text.empty()) text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
    while (!text.empty() && text.back() == ' ') text.pop_back();
    return text;
}

Node node_of(const toml::node& source, std::string_view text, const Lines& lines) {
    Node node;
    node.place = place_of(source.source().begin);
    node.begin = lines.offset(source.source().begin);
    node.end = std::max(node.begin, lines.offset(source.source().end));
    const std::string_view spelled = text.substr(node.begin, node.end - node.begin);
    if (const auto* table = source.as_table()) {
        node.kind = Node::Kind::table;
        for (auto&& [key, value] : *table) {
            Node member = node_of(value, text, lines);
            member.key = std::string(key.str());
            member.key_place = place_of(key.source().begin);
            member.key_end = lines.offset(key.source().end);
            node.children.push_back(std::move(member));
        }
        std::stable_sort(node.children.begin(), node.children.end(),
                         [](const Node& a, const Node& b) { return a.key_place < b.key_place; });
    } else if (const auto* array = source.as_array()) {
        node.kind = Node::Kind::array;
        for (const auto& item : *array) node.children.push_back(node_of(item, text, lines));
    } else if (const auto* string = source.as_string()) {
        node.kind = Node::Kind::string;
        node.text = string->get();
    } else if (const auto* boolean = source.as_boolean()) {
        node.kind = Node::Kind::boolean;
        node.boolean = boolean->get();
    } else if (const auto* integer = source.as_integer()) {
        node.kind = Node::Kind::integer;
        node.integer = integer->get();
        node.real = static_cast<double>(integer->get());
        node.text = spelled;
    } else if (const auto* real = source.as_floating_point()) {
        node.kind = Node::Kind::real;
        node.real = real->get();
        node.text = spelled;
    } else {
        node.kind = Node::Kind::date;
        node.text = spelled;
    }
    return node;
}

}  // namespace

Node* Node::member(std::string_view name) {
    for (Node& child : children) {
        if (child.key == name) return &child;
    }
    return nullptr;
}

const Node* Node::member(std::string_view name) const {
    for (const Node& child : children) {
        if (child.key == name) return &child;
    }
    return nullptr;
}

Node parse_tree(std::string_view text, const std::string& file_name) {
    refuse_deep_keys(text, file_name);
    try {
        const toml::table table = toml::parse(text, file_name);
        return node_of(table, text, Lines(text));
    } catch (const toml::parse_error& error) {
        fail_at(file_name, place_of(error.source().begin), "this is not TOML: " + reason(error.description()) + ".");
    }
}

bool same_values(const Node& a, const Node& b) {
    if (a.kind != b.kind || a.key != b.key || a.children.size() != b.children.size()) return false;
    switch (a.kind) {
        case Node::Kind::boolean: return a.boolean == b.boolean;
        case Node::Kind::integer: return a.integer == b.integer;
        case Node::Kind::real: return std::bit_cast<std::uint64_t>(a.real) == std::bit_cast<std::uint64_t>(b.real);
        case Node::Kind::string:
        case Node::Kind::date: return a.text == b.text;
        case Node::Kind::array:
            return std::equal(a.children.begin(), a.children.end(), b.children.begin(), same_values);
        case Node::Kind::table:
            return std::all_of(a.children.begin(), a.children.end(), [&](const Node& child) {
                const Node* other = b.member(child.key);
                return other != nullptr && same_values(child, *other);
            });
    }
    return false;
}

void fail_at(const std::string& file_name, Place place, const std::string& what) {
    throw base::UnreadableInput(file_name + ", line " + std::to_string(place.line) + ", column " +
                                std::to_string(place.column) + ": " + what);
}

}  // namespace hangtrue::text
