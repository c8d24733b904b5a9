// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/cgats.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/output_file.h"

namespace hangtrue::colour {
namespace {

constexpr std::int64_t most_bytes = 32'000'000;

std::string capitals(std::string_view text) {
    std::string out(text);
    for (char& letter : out) {
        if (letter >= 'a' && letter <= 'z') letter = static_cast<char>(letter - 'a' + 'A');
    }
    return out;
}

[[noreturn]] void refuse(const std::string& file, const std::string& why) {
    throw base::UnreadableInput(file + " cannot be used: " + why);
}

[[noreturn]] void refuse_unparsed(const std::string& file, const std::string& detail) {
    refuse(file, "it is no table of measurements as CGATS.17 (ISO 28178) has them (" + detail +
                     "). Save the readings as CGATS text and hand in that file.");
}

// The words of a line: bare, or in quotes (either kind); "#" begins a remark.
std::vector<std::string> words_of(std::string_view line) {
    std::vector<std::string> words;
    std::size_t at = 0;
    const auto is_blank = [](char c) { return static_cast<unsigned char>(c) <= ' '; };
    while (at < line.size()) {
        if (is_blank(line[at])) {
            ++at;
        } else if (line[at] == '#') {
            break;
        } else if (line[at] == '"' || line[at] == '\'') {
            const std::size_t end = std::min(line.find(line[at], at + 1), line.size());
            words.emplace_back(line.substr(at + 1, end - at - 1));
            at = end + 1;
        } else {
            std::size_t end = at;
            while (end < line.size() && !is_blank(line[end])) ++end;
            words.emplace_back(line.substr(at, end - at));
            at = end;
        }
    }
    return words;
}

// Lines end as on any system.
std::vector<std::string_view> lines_of(std::string_view text) {
    std::vector<std::string_view> lines;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find_first_of("\r\n", at), text.size());
        lines.push_back(text.substr(at, end - at));
        at = end + (text.substr(end, 2) == "\r\n" ? 2 : 1);
    }
    return lines;
}

void require_columns(const CgatsTable& table, std::size_t line, const std::string& said_columns) {
    if (table.columns.empty()) {
        refuse_unparsed(table.file, "no BEGIN_DATA_FORMAT names the columns before line " + std::to_string(line));
    }
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
        if (std::find(table.columns.begin(), table.columns.begin() + static_cast<std::ptrdiff_t>(i),
                      table.columns[i]) != table.columns.begin() + static_cast<std::ptrdiff_t>(i)) {
            refuse_unparsed(table.file, "the column " + table.columns[i] + " stands in it twice");
        }
    }
    if (!said_columns.empty() && said_columns != std::to_string(table.columns.size())) {
        refuse(table.file, "it says that it has " + said_columns + " columns and names " +
                               std::to_string(table.columns.size()) + ". Save the readings once more.");
    }
}

bool has_all(const CgatsTable& table, const std::array<std::string_view, 3>& columns) {
    return std::all_of(columns.begin(), columns.end(), [&](std::string_view name) { return table.has(name); });
}

}  // namespace

std::optional<std::size_t> CgatsTable::find(std::string_view column) const {
    const auto found = std::find(columns.begin(), columns.end(), column);
    if (found == columns.end()) return std::nullopt;
    return static_cast<std::size_t>(found - columns.begin());
}

std::vector<std::string> CgatsTable::texts(std::string_view column) const {
    const auto at = find(column);
    if (!at) {
        refuse(file, "it has no column " + std::string(column) +
                         ". Save the readings once more with that column among the fields.");
    }
    std::vector<std::string> out;
    for (const auto& row : rows) out.push_back(row[*at]);
    return out;
}

std::vector<double> CgatsTable::numbers(std::string_view column) const {
    std::vector<double> out;
    const auto all = texts(column);
    for (std::size_t i = 0; i < all.size(); ++i) {
        const std::string& text = all[i];
        double value = 0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
        if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) {
            refuse(file, "in row " + std::to_string(i + 1) + ", column " + std::string(column) + ", stands \"" + text +
                             "\" where a number is needed.");
        }
        out.push_back(value);
    }
    return out;
}

std::vector<std::string> CgatsTable::names() const {
    for (const char* column : {"SAMPLE_NAME", "SAMPLE_ID", "SAMPLEID"}) {
        if (has(column)) return texts(column);
    }
    refuse(file, "it has neither a column SAMPLE_NAME nor SAMPLE_ID, so its rows cannot be told apart.");
}

std::vector<Lab> CgatsTable::lab_values() const {
    std::vector<Lab> out;
    if (has_all(*this, {"LAB_L", "LAB_A", "LAB_B"})) {
        const auto lightness = numbers("LAB_L"), a = numbers("LAB_A"), b = numbers("LAB_B");
        for (std::size_t i = 0; i < rows.size(); ++i) out.push_back({lightness[i], a[i], b[i]});
        return out;
    }
    if (!has_all(*this, {"XYZ_X", "XYZ_Y", "XYZ_Z"})) {
        refuse(file,
               "it holds no colours: of LAB_L, LAB_A, LAB_B or of XYZ_X, XYZ_Y, XYZ_Z all three are needed. Save the "
               "readings once more with them among the fields.");
    }
    const auto x = numbers("XYZ_X"), y = numbers("XYZ_Y"), z = numbers("XYZ_Z");
    for (std::size_t i = 0; i < rows.size(); ++i) {
        out.push_back(lab_from_xyz({x[i] / 100, y[i] / 100, z[i] / 100}));
    }
    return out;
}

CgatsTable read_cgats(const std::filesystem::path& file) {
    CgatsTable out;
    out.file = file.string();
    const std::string text = base::read_whole_file(file, most_bytes);
    enum class Part { head, format, data } part = Part::head;
    std::string said_columns, said_rows;
    std::size_t number = 0;
    for (const std::string_view line : lines_of(text)) {
        ++number;
        const auto words = words_of(line);
        if (words.empty()) continue;
        const std::string first = capitals(words[0]);
        if (part == Part::format) {
            for (const std::string& word : words) {
                if (capitals(word) == "END_DATA_FORMAT") {
                    part = Part::head;
                    break;
                }
                out.columns.push_back(capitals(word));
            }
        } else if (part == Part::data) {
            if (first == "END_DATA") {
                part = Part::head;
                if (!out.rows.empty()) break;
            } else if (words.size() == out.columns.size()) {
                out.rows.push_back(words);
            } else {
                refuse(out.file, "line " + std::to_string(number) + " holds " + std::to_string(words.size()) +
                                     (words.size() == 1 ? " value" : " values") + ", and the table has " +
                                     std::to_string(out.columns.size()) + " columns. Save the readings once more.");
            }
        } else if (first == "BEGIN_DATA_FORMAT") {
            part = Part::format;
            out.columns.clear();
            for (std::size_t i = 1; i < words.size(); ++i) out.columns.push_back(capitals(words[i]));
            if (!out.columns.empty() && out.columns.back() == "END_DATA_FORMAT") {
                out.columns.pop_back();
                part = Part::head;
            }
        } else if (first == "BEGIN_DATA") {
            require_columns(out, number, said_columns);
            part = Part::data;
        } else if (first == "NUMBER_OF_FIELDS" && words.size() > 1) {
            said_columns = words[1];
        } else if (first == "NUMBER_OF_SETS" && words.size() > 1) {
            said_rows = words[1];
        }
    }
    if (part == Part::data) refuse(out.file, "it was cut short: no END_DATA ends it. Save the readings once more.");
    if (out.rows.empty()) refuse_unparsed(out.file, "no row stands between BEGIN_DATA and END_DATA");
    if (!said_rows.empty() && said_rows != std::to_string(out.rows.size())) {
        refuse(out.file, "it says that it has " + said_rows + " rows and holds " + std::to_string(out.rows.size()) +
                             ". Save the readings once more.");
    }
    return out;
}

}  // namespace hangtrue::colour
