// SPDX-License-Identifier: Apache-2.0
#include "engine/text/writer.h"

#include <array>
#include <charconv>
#include <cmath>

namespace hangtrue::text {
namespace {

constexpr std::size_t numbers_in_a_line = 8;

std::string value_text_of(bool value) { return value ? "true" : "false"; }
std::string value_text_of(std::int64_t value) { return std::to_string(value); }
std::string value_text_of(double value) { return real_text(value); }
std::string value_text_of(const std::string& value) { return string_text(value); }

template <typename Element>
std::string value_text_of(const std::vector<Element>& values) {
    if (values.empty()) return "[]";
    const bool is_long = values.size() > numbers_in_a_line;
    std::string text = is_long ? "[\n  " : "[";
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (i > 0) text += i % numbers_in_a_line == 0 ? ",\n  " : ", ";
        text += value_text_of(values[i]);
    }
    return text + (is_long ? "\n]" : "]");
}

std::string path_text(const std::vector<std::string>& path) {
    std::string text;
    for (const std::string& key : path) text.append(text.empty() ? "" : ".").append(key_text(key));
    return text;
}

}  // namespace

std::string real_text(double value) {
    if (std::isnan(value)) return "nan";
    if (std::isinf(value)) return value < 0 ? "-inf" : "inf";
    std::array<char, 32> buffer{};  // The shortest spelling of a double takes at most 24 characters.
    const auto [end, status] = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
    std::string text(buffer.data(), end);
    if (text.find_first_of(".e") == std::string::npos) text += ".0";
    return text;
}

std::string string_text(std::string_view text) {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string quoted = "\"";
    for (const char c : text) {
        const auto code = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            quoted += '\\';
            quoted += c;
        } else if (c == '\n') {
            quoted += "\\n";
        } else if (c == '\t') {
            quoted += "\\t";
        } else if (code < 0x20 || code == 0x7f) {
            quoted += "\\u00";
            quoted += digits[code >> 4U];
            quoted += digits[code & 0xFU];
        } else {
            quoted += c;
        }
    }
    return quoted + '"';
}

std::string key_text(std::string_view key) {
    constexpr std::string_view bare = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-";
    if (!key.empty() && key.find_first_not_of(bare) == std::string_view::npos) return std::string(key);
    return string_text(key);
}

std::string value_text(const Value& value) {
    return std::visit([](const auto& held) { return value_text_of(held); }, value);
}

Writer::Writer(int format) : m_text("format = " + std::to_string(format) + "\n") {}

Writer& Writer::comment(std::string_view text) {
    while (true) {
        const std::size_t end = text.find('\n');
        m_text += "# " + std::string(text.substr(0, end)) + "\n";
        if (end == std::string_view::npos) return *this;
        text.remove_prefix(end + 1);
    }
}

Writer& Writer::blank() {
    m_text += '\n';
    return *this;
}

Writer& Writer::value(std::string_view key, const Value& value) {
    m_text += key_text(key) + " = " + value_text(value) + "\n";
    return *this;
}

Writer& Writer::table(const std::vector<std::string>& path) {
    m_text += "\n[" + path_text(path) + "]\n";
    return *this;
}

Writer& Writer::next_table(const std::vector<std::string>& path) {
    m_text += "\n[[" + path_text(path) + "]]\n";
    return *this;
}

}  // namespace hangtrue::text
