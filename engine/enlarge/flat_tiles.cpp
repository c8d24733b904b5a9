// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/flat_tiles.h"

#include <algorithm>

namespace hangtrue::enlarge {
namespace {

constexpr auto tile = static_cast<std::size_t>(tile_px);

/// Marks the tiles of a row whose samples lie further apart than `most`. `lowest`, `highest`: a row of pixels.
void mark_uneven(const float* samples, std::size_t stride, float most, std::span<std::uint8_t> uneven,
                 std::vector<float>& lowest, std::vector<float>& highest) {
    const std::size_t width = tile * uneven.size();
    for (std::size_t x = 0; x < width; ++x) {
        lowest[x] = std::min(std::min(samples[x], samples[x + stride]),
                             std::min(samples[x + 2 * stride], samples[x + 3 * stride]));
        highest[x] = std::max(std::max(samples[x], samples[x + stride]),
                              std::max(samples[x + 2 * stride], samples[x + 3 * stride]));
    }
    for (std::size_t i = 0; i < uneven.size(); ++i) {
        const float* const low = lowest.data() + tile * i;
        const float* const high = highest.data() + tile * i;
        const float spread = std::max(std::max(high[0], high[1]), std::max(high[2], high[3])) -
                             std::min(std::min(low[0], low[1]), std::min(low[2], low[3]));
        uneven[i] |= static_cast<std::uint8_t>(spread > most);
    }
}

}  // namespace

int most_codes_of_flat(const Measures& measures) {
    constexpr double least_noise_sd = 0.3 / 255;
    return measures.noise_sd <= least_noise_sd ? 3 : 2;
}

FlatTiles::FlatTiles(const RgbPlanes<const float>& source, base::PixelSize tiles, int look_tiles, int most_codes)
    : m_tiles(tiles),
      m_flat(static_cast<std::size_t>(tiles.count())),
      m_not_flat(static_cast<std::size_t>(tiles.height)) {
    static_assert(tile_px == 4);
    // Half a code more: as far from the next 8-bit code as from the next 16-bit one.
    const float most = (static_cast<float>(most_codes) + 0.5f) / 255;
    const auto look = static_cast<std::size_t>(look_tiles);
    const auto columns = static_cast<std::size_t>(tiles.width);
    const auto rows = static_cast<std::size_t>(tiles.height);
    std::vector<std::uint8_t> uneven(columns + 2 * look);
    std::vector<float> lowest(tile * uneven.size());
    std::vector<float> highest(tile * uneven.size());
    // How many rows there are down to the last with something uneven in a column's sight; and columns, of a row.
    std::vector<std::size_t> rows_to_uneven(columns, 0);
    for (std::size_t row = 0; row < rows + 2 * look; ++row) {
        std::fill(uneven.begin(), uneven.end(), std::uint8_t{0});
        for (const float* const plane : source.planes) {
            mark_uneven(plane + tile * row * source.stride, source.stride, most, uneven, lowest, highest);
        }
        std::size_t columns_to_uneven = 0;
        for (std::size_t at = 0; at < uneven.size(); ++at) {
            if (uneven[at] != 0) columns_to_uneven = at + 1;
            if (at >= 2 * look && columns_to_uneven + 2 * look > at) rows_to_uneven[at - 2 * look] = row + 1;
        }
        if (row < 2 * look) continue;
        std::uint8_t* const flat = m_flat.data() + (row - 2 * look) * columns;
        for (std::size_t column = 0; column < columns; ++column) {
            flat[column] = static_cast<std::uint8_t>(rows_to_uneven[column] + 2 * look <= row);
        }
    }
    for (int row = 0; row < tiles.height; ++row) {
        Columns& found = m_not_flat[static_cast<std::size_t>(row)];
        for (int column = 0; column < tiles.width; ++column) {
            if (is_flat(row, column)) continue;
            if (found.end == 0) found.first = column;
            found.end = column + 1;
        }
    }
}

FlatTiles::Columns FlatTiles::not_flat(int first_row, int end_row) const {
    Columns all;
    for (int row = std::max(0, first_row); row < std::min(m_tiles.height, end_row); ++row) {
        const Columns& one = m_not_flat[static_cast<std::size_t>(row)];
        if (one.end == 0) continue;
        all.first = all.end == 0 ? one.first : std::min(all.first, one.first);
        all.end = std::max(all.end, one.end);
    }
    return all;
}

}  // namespace hangtrue::enlarge
