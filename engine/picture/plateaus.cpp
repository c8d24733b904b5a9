// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/plateaus.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace hangtrue::picture {
namespace {

constexpr int side = Plateaus::tile_px;
/// Of neighbours along either axis: plateaus of eight pixels and more.
constexpr double least_equal = 0.875;
/// Of the sum of all steps along the slope: what is left when they are added with their signs.
constexpr double least_one_way = 0.8;
constexpr float edge_codes = 6;

/// What stands between neighbours along one axis.
struct Along {
    int equal = 0;
    int steps = 0;
    double heights = 0;  ///< Of all steps…
    double one_way = 0;  ///< …and, line by line, what they add up to.
};

Along along(std::span<const float> codes, std::size_t next, std::size_t next_line) {
    Along found;
    for (std::size_t line = 0; line < side; ++line) {
        double sum = 0;
        for (std::size_t i = 0; i + 1 < side; ++i) {
            const float* at = codes.data() + line * next_line + i * next;
            const auto step = static_cast<double>(at[next] - at[0]);
            if (step == 0) {
                ++found.equal;
            } else {
                ++found.steps;
                found.heights += std::abs(step);
                sum += step;
            }
        }
        found.one_way += std::abs(sum);
    }
    return found;
}

/// One channel of a pixel as a code of 8 bits.
float code_at(const std::byte* pixel, int channel, int bits) {
    if (bits == 8) return static_cast<float>(std::to_integer<int>(pixel[channel]));
    std::uint16_t value = 0;
    std::memcpy(&value, pixel + 2 * channel, sizeof value);
    return static_cast<float>(value) / 257.0F;
}

}  // namespace

Plateaus::Tile plateaus_in(std::span<const float> codes) {
    Plateaus::Tile tile;
    double sum = 0;
    for (const float code : codes) sum += static_cast<double>(code);
    tile.level = static_cast<float>(sum / static_cast<double>(codes.size()));
    constexpr double pairs = side * (side - 1);
    const Along across = along(codes, 1, side);
    if (across.equal < least_equal * pairs) return tile;
    const Along down = along(codes, side, 1);
    if (down.equal < least_equal * pairs) return tile;
    const Along& slope = across.heights > down.heights ? across : down;
    if (slope.steps < side / 2 || slope.one_way < least_one_way * slope.heights) return tile;
    const double step = slope.heights / slope.steps;
    if (step > static_cast<double>(edge_codes)) return tile;
    tile.step = static_cast<float>(step);
    tile.width_px = static_cast<float>(pairs / slope.steps);
    return tile;
}

WatchedRows::WatchedRows(raster::RowReader& picture) : m_picture(picture) {
    m_info = picture.info();
    m_plateaus.columns = m_info.size.width / side;
    m_plateaus.rows = m_info.size.height / side;
    m_plateaus.tiles.resize(static_cast<std::size_t>(m_plateaus.columns) * static_cast<std::size_t>(m_plateaus.rows));
    m_band.resize(static_cast<std::size_t>(m_plateaus.columns) * side * side);
}

void WatchedRows::read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) {
    m_picture.read_rows(first, count, out, progress);
    const std::size_t row_bytes = m_info.bytes_per_row();
    for (int y = 0; y < count; ++y) {
        const int row = first + y;
        if (row < m_next) continue;  // Seen already.
        if (row > m_next) {
            m_held = 0;
            m_next = row;
        }
        if (m_held != row % side) {
            // The band's first rows were passed over.
            ++m_next;
            continue;
        }
        look_at(out.subspan(static_cast<std::size_t>(y) * row_bytes, row_bytes));
        ++m_next;
    }
}

void WatchedRows::look_at(std::span<const std::byte> row) {
    // Tile after tile, so that each lies in one piece.
    const int channel = m_info.model == raster::SampleModel::rgb ? 1 : 0;  // Green; else grey or L*.
    const std::size_t step = m_info.bytes_per_pixel();
    const std::byte* pixel = row.data();
    for (int column = 0; column < m_plateaus.columns; ++column) {
        float* line =
            m_band.data() + (static_cast<std::size_t>(column) * side + static_cast<std::size_t>(m_held)) * side;
        for (int x = 0; x < side; ++x, pixel += step) line[x] = code_at(pixel, channel, m_info.bits);
    }
    if (++m_held < side) return;
    m_held = 0;
    const auto band = static_cast<std::size_t>(m_next / side);
    for (std::size_t column = 0; column < static_cast<std::size_t>(m_plateaus.columns); ++column) {
        m_plateaus.tiles[band * static_cast<std::size_t>(m_plateaus.columns) + column] =
            plateaus_in(std::span(m_band).subspan(column * side * side, side * side));
    }
}

}  // namespace hangtrue::picture
