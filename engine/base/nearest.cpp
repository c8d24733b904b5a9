// SPDX-License-Identifier: Apache-2.0
#include "engine/base/nearest.h"

#include <algorithm>
#include <cctype>
#include <numeric>
#include <vector>

namespace hangtrue::base {
namespace {

std::size_t edits(std::string_view a, std::string_view b) {
    const auto lower = [](char c) { return std::tolower(static_cast<unsigned char>(c)); };
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i + 1;
        for (std::size_t j = 0; j < b.size(); ++j) {
            const std::size_t replaced = diagonal + (lower(a[i]) == lower(b[j]) ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({row[j] + 1, row[j + 1] + 1, replaced});
        }
    }
    return row.back();
}

}  // namespace

std::optional<std::string> nearest_word(std::string_view word, std::span<const std::string> known) {
    std::optional<std::string> best;
    std::size_t best_edits = 0;
    for (const std::string& candidate : known) {
        const std::size_t distance = edits(word, candidate);
        if (distance > std::max(word.size(), candidate.size()) / 3 + 1) continue;
        if (!best || distance < best_edits) {
            best = candidate;
            best_edits = distance;
        }
    }
    return best;
}

}  // namespace hangtrue::base
