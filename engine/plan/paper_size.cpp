// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/paper_size.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace hangtrue::plan {
namespace {

/// ISO 216, the A series: each the half of the one before it, cut down to whole millimetres.
constexpr std::array<base::SizeMm, 7> a_series{{
    {{841}, {1189}},
    {{594}, {841}},
    {{420}, {594}},
    {{297}, {420}},
    {{210}, {297}},
    {{148}, {210}},
    {{105}, {148}},
}};
constexpr double same_side_mm = 0.5;

bool is_same(base::Millimetres a, base::Millimetres b) { return std::abs(a.value - b.value) <= same_side_mm; }

}  // namespace

std::optional<base::SizeMm> paper_size(std::string_view name) {
    if (name.size() != 2 || (name[0] != 'A' && name[0] != 'a') || name[1] < '0') return std::nullopt;
    const auto number = static_cast<std::size_t>(name[1] - '0');
    if (number >= a_series.size()) return std::nullopt;
    return a_series[number];
}

std::optional<std::string> paper_name(base::SizeMm size) {
    const base::Millimetres shorter = std::min(size.width, size.height);
    const base::Millimetres longer = std::max(size.width, size.height);
    for (std::size_t number = 0; number < a_series.size(); ++number) {
        const base::SizeMm& paper = a_series[number];
        if (is_same(paper.width, shorter) && is_same(paper.height, longer)) return "A" + std::to_string(number);
    }
    return std::nullopt;
}

}  // namespace hangtrue::plan
