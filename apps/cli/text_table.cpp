// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/text_table.h"

#include <algorithm>

#include "apps/cli/letters.h"

namespace hangtrue::cli {

std::string table_text(const std::vector<std::vector<std::string>>& rows, std::size_t indent) {
    std::vector<std::size_t> widths;
    for (const auto& row : rows) {
        widths.resize(std::max(widths.size(), row.size()), 0);
        for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], shown_width(row[i]));
    }
    std::string text;
    for (const auto& row : rows) {
        std::string line(indent, ' ');
        for (std::size_t i = 0; i < row.size(); ++i) {
            line += row[i] + std::string(widths[i] - shown_width(row[i]) + 3, ' ');
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + "\n";
    }
    return text;
}

std::string price_text(std::int64_t cents, const std::string& currency) {
    const std::int64_t rest = cents % 100;
    return std::to_string(cents / 100) + (rest < 10 ? ".0" : ".") + std::to_string(rest) + " " + currency;
}

std::string pixels_text(base::PixelSize size) {
    return std::to_string(size.width) + " x " + std::to_string(size.height) + " px";
}

std::string finding_line(const checks::Finding& finding) {
    std::string line;
    switch (finding.severity) {
        case checks::Severity::stop: line = finding.passable ? "Stop (--anyway passes it): " : "Stop: "; break;
        case checks::Severity::look: line = "Look: "; break;
        case checks::Severity::note: line = "Note: "; break;
    }
    line += finding.sentence;
    if (!finding.way_out.empty()) line += " " + finding.way_out;
    if (!finding.command.empty()) line += " (" + finding.command + ")";
    if (!finding.option.empty() && line.find(finding.option) == std::string::npos) line += " (" + finding.option + ")";
    return line;
}

}  // namespace hangtrue::cli
