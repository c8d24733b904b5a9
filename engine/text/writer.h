// SPDX-License-Identifier: Apache-2.0
#pragma once

/// TOML that the program writes: values spelled so that they read back as they were. Pure,
/// thread-safe.

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace hangtrue::text {

using Value = std::variant<bool, std::int64_t, double, std::string, std::vector<std::int64_t>, std::vector<double>,
                           std::vector<std::string>>;

/// The shortest spelling that reads back to the same bits (std::to_chars), always recognisable as
/// no integer: "0.1", "3.0", "1e+300", "-0.0", "inf", "nan". The payload of a NaN is not kept.
std::string real_text(double value);

/// In double quotes, with what TOML wants escaped; `text` is UTF-8.
std::string string_text(std::string_view text);

/// Bare where TOML allows it, else quoted.
std::string key_text(std::string_view key);

/// Any value; long lists of numbers over several lines.
std::string value_text(const Value& value);

/// Writes a document from top to bottom, in the order of the calls.
class Writer {
  public:
    explicit Writer(int format);             ///< Begins with `format = N`.
    Writer& comment(std::string_view text);  ///< "# text", a line for each of its lines.
    Writer& blank();
    Writer& value(std::string_view key, const Value& value);
    /// Begins "[a.b]": what follows belongs to it.
    Writer& table(const std::vector<std::string>& path);
    /// Begins another "[[a.b]]".
    Writer& next_table(const std::vector<std::string>& path);
    const std::string& text() const { return m_text; }

  private:
    std::string m_text;
};

}  // namespace hangtrue::text
