// SPDX-License-Identifier: Apache-2.0
#include "engine/text/edit.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "engine/text/node.h"

namespace hangtrue::text {
namespace {

/// How a table stands in the file.
enum class Form {
    root,       ///< The top of the file.
    headed,     ///< "[a.b]" or "[[a.b]]": its lines follow.
    in_braces,  ///< "a = { … }".
    dotted,     ///< Only as a part of keys: "a.b = 1".
    implied     ///< Only as a part of another table's header: "a" in "[a.b]".
};

/// True for an array written as "[[a]]" headers.
bool is_headed_array(const Node& node) {
    return node.kind == Node::Kind::array && !node.children.empty() && node.children.front().begin == node.begin;
}

class Editor {
  public:
    Editor(std::string_view text, const std::string& file_name)
        : m_text(text), m_file_name(file_name), m_root(parse_tree(text, file_name)) {}

    std::string with(const Path& path, const Value& value) {
        const Node* table = &m_root;
        Place place;  // Of what `path` has come to: where a complaint points.
        // The last table on the way that lines can be added to, and the keys from there.
        const Node* host = table;
        Form host_form = Form::root;
        std::vector<std::string> from_host;
        for (std::size_t i = 0; i < path.size(); ++i) {
            const bool is_last = i + 1 == path.size();
            if (const auto* number = std::get_if<std::size_t>(&path[i])) {
                if (table == nullptr || table->kind != Node::Kind::array || *number >= table->children.size() ||
                    is_last) {
                    fail_at(m_file_name, place,
                            "there is no table number " + std::to_string(*number + 1) + " here to change.");
                }
                table = &table->children[*number];
                place = table->place;
                const bool is_headed = m_text.substr(table->begin, 1) == "[";
                host_form = is_headed ? Form::headed : Form::in_braces;
                host = table;
                from_host.clear();
                continue;
            }
            const std::string& key = std::get<std::string>(path[i]);
            from_host.push_back(key);
            if (table != nullptr && table->kind != Node::Kind::table) {
                fail_at(m_file_name, place, "this is no table, so it has no " + quoted(key) + ".");
            }
            const Node* member = table != nullptr ? table->member(key) : nullptr;
            if (member != nullptr) place = member->place;
            if (is_last) {
                return member != nullptr ? changed(*member, value) : added(*host, host_form, from_host, value);
            }
            table = member;
            if (table == nullptr || table->kind != Node::Kind::table) continue;
            const Form form = form_of(*table);
            if (form == Form::headed || form == Form::in_braces) {
                host = table;
                host_form = form;
                from_host.clear();
            }
        }
        fail_at(m_file_name, place, "there is nothing named here to change.");
    }

  private:
    /// Of a table that is a member of another.
    Form form_of(const Node& table) const {
        if (m_text.substr(table.begin, 1) == "{") return Form::in_braces;
        if (m_text.substr(table.begin, 1) != "[") return Form::dotted;
        const std::size_t behind_key = m_text.find_first_not_of(" \t", table.key_end);
        return behind_key != std::string_view::npos && m_text[behind_key] == ']' ? Form::headed : Form::implied;
    }

    std::string changed(const Node& node, const Value& value) const {
        if (node.kind == Node::Kind::table || is_headed_array(node)) {
            fail_at(m_file_name, node.place, quoted(node.key) + " is a table, not one value.");
        }
        std::string result(m_text);
        return result.replace(node.begin, node.end - node.begin, value_text(value));
    }

    std::string added(const Node& table, Form form, const std::vector<std::string>& keys, const Value& value) const {
        std::string line;
        for (const std::string& key : keys) line.append(line.empty() ? "" : ".").append(key_text(key));
        line.append(" = ").append(value_text(value));
        std::string result(m_text);
        if (form == Form::in_braces) {
            const std::size_t last = last_end(table);
            if (last > 0) return result.insert(last, ", " + line);
            line.insert(0, "{ ").append(" }");
            return result.replace(table.begin, table.end - table.begin, line);
        }
        const std::string_view line_end = m_text.find("\r\n") != std::string_view::npos ? "\r\n" : "\n";
        const std::size_t last = std::max(last_end(table), form == Form::headed ? table.end : 0);
        if (last == 0) {
            // Nothing of the root's own yet: before everything, but behind a byte order mark.
            const std::size_t start = m_text.starts_with("\xef\xbb\xbf") ? 3 : 0;
            return result.insert(start, line + std::string(line_end));
        }
        std::size_t at = m_text.find('\n', last);
        if (at == std::string_view::npos) return result + std::string(line_end) + line;
        return result.insert(at + 1, indent(table) + line + std::string(line_end));
    }

    /// Where the last value that stands under the table's own header, or within its braces, ends;
    /// 0: none does.
    std::size_t last_end(const Node& table) const {
        std::size_t end = 0;
        for (const Node& child : table.children) {
            if (is_headed_array(child)) continue;
            if (child.kind != Node::Kind::table) {
                end = std::max(end, child.end);
                continue;
            }
            const Form form = form_of(child);
            if (form == Form::in_braces) end = std::max(end, child.end);
            if (form == Form::dotted) end = std::max(end, last_end(child));
        }
        return end;
    }

    /// The blanks before the table's last own key, so that a new line stands below the others.
    std::string indent(const Node& table) const {
        const std::size_t end = last_end(table);
        if (end == 0) return "";
        for (const Node& child : table.children) {
            if (child.end != end) continue;
            std::size_t start = m_text.rfind('\n', std::min(child.key_end, child.begin));
            start = start == std::string_view::npos ? 0 : start + 1;
            const std::size_t first = m_text.find_first_not_of(" \t", start);
            return std::string(m_text.substr(start, first - start));
        }
        return "";
    }

    std::string_view m_text;
    const std::string& m_file_name;
    Node m_root;
};

const Node* node_at(const Node& root, const Path& path) {
    const Node* node = &root;
    for (const Step& step : path) {
        if (const auto* number = std::get_if<std::size_t>(&step)) {
            if (*number >= node->children.size()) return nullptr;
            node = &node->children[*number];
        } else {
            node = node->member(std::get<std::string>(step));
            if (node == nullptr) return nullptr;
        }
    }
    return node;
}

}  // namespace

std::string with_value(std::string_view text, const std::string& file_name, const Path& path, const Value& value) {
    const std::string result = Editor(text, file_name).with(path, value);
    // Read again: what was not understood here must not reach the user's file.
    const Node expected = parse_tree("value = " + value_text(value), file_name).children.front();
    const Node changed = parse_tree(result, file_name);
    const Node* found = node_at(changed, path);
    if (found == nullptr) fail_at(file_name, {}, "this value cannot be changed without rewriting the file.");
    Node compared = *found;
    compared.key = expected.key;
    if (!same_values(compared, expected)) {
        fail_at(file_name, found->place, "this value cannot be changed without rewriting the file.");
    }
    return result;
}

}  // namespace hangtrue::text
