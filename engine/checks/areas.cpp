// SPDX-License-Identifier: Apache-2.0
#include "engine/checks/areas.h"

#include <algorithm>
#include <numeric>

namespace hangtrue::checks {
namespace {

/// Cells along the longer side, for places; and how much of one must be marked.
constexpr int cells_along = 40;
constexpr double least_of_cell = 0.08;

/// The marked places that hang together with `start`; takes them from `left`.
std::vector<std::size_t> taken_from(Mask& left, std::size_t start) {
    const int width = left.size.width;
    std::vector<std::size_t> found{start};
    left.marked[start] = 0;
    for (std::size_t next = 0; next < found.size(); ++next) {
        const int x = static_cast<int>(found[next] % static_cast<std::size_t>(width));
        const int y = static_cast<int>(found[next] / static_cast<std::size_t>(width));
        for (int v = std::max(0, y - 1); v <= std::min(left.size.height - 1, y + 1); ++v) {
            for (int u = std::max(0, x - 1); u <= std::min(width - 1, x + 1); ++u) {
                if (left.at(u, v) == 0) continue;
                left.at(u, v) = 0;
                found.push_back(static_cast<std::size_t>(v) * static_cast<std::size_t>(width) +
                                static_cast<std::size_t>(u));
            }
        }
    }
    return found;
}

Area area_of(const std::vector<std::size_t>& found, int width) {
    int left = width;
    int right = 0;
    for (const std::size_t place : found) {
        const int x = static_cast<int>(place % static_cast<std::size_t>(width));
        left = std::min(left, x);
        right = std::max(right, x);
    }
    const auto [first, last] = std::minmax_element(found.begin(), found.end());
    const int top = static_cast<int>(*first / static_cast<std::size_t>(width));
    const int bottom = static_cast<int>(*last / static_cast<std::size_t>(width));
    return {{left, top, right - left + 1, bottom - top + 1}, static_cast<std::int64_t>(found.size())};
}

}  // namespace

std::int64_t Mask::count() const { return std::accumulate(marked.begin(), marked.end(), std::int64_t{0}); }

std::vector<Area> areas(const Mask& mask) {
    Mask left = mask;
    std::vector<Area> found;
    for (std::size_t i = 0; i < left.marked.size(); ++i) {
        if (left.marked[i] != 0) found.push_back(area_of(taken_from(left, i), mask.size.width));
    }
    std::stable_sort(found.begin(), found.end(), [](const Area& a, const Area& b) { return a.count > b.count; });
    return found;
}

Mask without_specks(const Mask& mask, std::int64_t least) {
    Mask left = mask;
    Mask kept(mask.size);
    for (std::size_t i = 0; i < left.marked.size(); ++i) {
        if (left.marked[i] == 0) continue;
        const auto found = taken_from(left, i);
        if (static_cast<std::int64_t>(found.size()) < least) continue;
        for (const std::size_t place : found) kept.marked[place] = 1;
    }
    return kept;
}

std::vector<base::PixelRect> places(const Mask& mask, std::size_t most) {
    const int side = std::max(1, (std::max(mask.size.width, mask.size.height) + cells_along - 1) / cells_along);
    const base::PixelSize grid{(mask.size.width + side - 1) / side, (mask.size.height + side - 1) / side};
    Mask cells(grid);
    std::vector<std::int64_t> counts(static_cast<std::size_t>(grid.count()));
    const auto cell_of = [&](int x, int y) {
        return static_cast<std::size_t>(y / side) * static_cast<std::size_t>(grid.width) +
               static_cast<std::size_t>(x / side);
    };
    for (int y = 0; y < mask.size.height; ++y) {
        for (int x = 0; x < mask.size.width; ++x) counts[cell_of(x, y)] += mask.at(x, y);
    }
    for (std::size_t i = 0; i < counts.size(); ++i) {
        cells.marked[i] = static_cast<double>(counts[i]) >= least_of_cell * side * side ? 1 : 0;
    }
    std::vector<Area> found = areas(cells);
    for (Area& area : found) {
        // Cut to what is marked, and weighed by it.
        const base::PixelRect part =
            base::intersection({area.box.x * side, area.box.y * side, area.box.width * side, area.box.height * side},
                               {0, 0, mask.size.width, mask.size.height});
        int left = part.right();
        int top = part.bottom();
        int right = part.x;
        int bottom = part.y;
        area.count = 0;
        for (int y = part.y; y < part.bottom(); ++y) {
            for (int x = part.x; x < part.right(); ++x) {
                if (mask.at(x, y) == 0) continue;
                ++area.count;
                left = std::min(left, x);
                top = std::min(top, y);
                right = std::max(right, x + 1);
                bottom = std::max(bottom, y + 1);
            }
        }
        area.box = {left, top, right - left, bottom - top};
    }
    std::stable_sort(found.begin(), found.end(), [](const Area& a, const Area& b) { return a.count > b.count; });
    std::vector<base::PixelRect> boxes;
    for (const Area& area : found) {
        if (boxes.size() < most) boxes.push_back(area.box);
    }
    return boxes;
}

}  // namespace hangtrue::checks
