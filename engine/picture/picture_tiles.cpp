// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/picture_tiles.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace hangtrue::picture {
namespace {

constexpr int least_side = 16;
constexpr std::int64_t few_pixels = 4'000'000;

// Where tiles begin: spread evenly, the first and the last at the picture's edges.
std::vector<int> begins(int length, int tile, int step) {
    const int count = (length - tile + step - 1) / step + 1;
    std::vector<int> result;
    for (int i = 0; i < count; ++i) {
        const auto place = count == 1 ? 0 : static_cast<std::int64_t>(i) * (length - tile) / (count - 1);
        result.push_back(static_cast<int>(place));
    }
    return result;
}

float mean_of(const float* corner, std::size_t stride, base::PixelSize tile) {
    double sum = 0;
    for (int y = 0; y < tile.height; ++y) {
        const float* row = corner + static_cast<std::size_t>(y) * stride;
        float in_row = 0;
        for (int x = 0; x < tile.width; ++x) in_row += row[x];
        sum += static_cast<double>(in_row);
    }
    return static_cast<float>(sum / static_cast<double>(tile.count()));
}

bool is_clipped(const float* corner, std::size_t stride, base::PixelSize tile) {
    std::int64_t clipped = 0;
    for (int y = 0; y < tile.height; ++y) {
        const float* row = corner + static_cast<std::size_t>(y) * stride;
        int in_row = 0;
        for (int x = 0; x < tile.width; ++x) in_row += row[x] <= 0.5f || row[x] >= 254.5f;
        clipped += in_row;
    }
    return clipped * 10 > tile.count();
}

}  // namespace

PictureTiles::PictureTiles(base::PixelSize size, int threads) : m_size(size) {
    if (std::min(size.width, size.height) < least_side) return;
    m_tile = {std::min(size.width, spectrum_side), std::min(size.height, spectrum_side)};
    const int step = size.count() < few_pixels ? spectrum_side / 2 : spectrum_side;
    m_lefts = begins(size.width, m_tile.width, step);
    m_tops = begins(size.height, m_tile.height, step);
    m_tiles.resize(m_lefts.size() * m_tops.size());
    m_clipped.resize(m_tiles.size());
    for (Buffer& buffer : m_buffers) {
        buffer.rows.resize(static_cast<std::size_t>(size.width) * static_cast<std::size_t>(m_tile.height));
        buffer.group = std::make_unique<base::Workers::Group>();
    }
    m_workers = std::make_unique<base::Workers>(threads);
    for (int i = 0; i < m_workers->count(); ++i)
        m_spectra.push_back(std::make_unique<TileSpectrum>(m_tile.width, m_tile.height));
}

PictureTiles::~PictureTiles() = default;

int PictureTiles::tile_side() const { return std::min(m_tile.width, m_tile.height); }

void PictureTiles::add_row(std::span<const float> row) {
    if (m_next_top == m_tops.size()) return;
    assert(row.size() == static_cast<std::size_t>(m_size.width));
    const int top = m_tops[m_next_top];
    if (m_next_row++ < top) return;
    std::ranges::copy(row, m_buffers[m_filling].rows.begin() +
                               static_cast<std::ptrdiff_t>(row.size()) * static_cast<std::ptrdiff_t>(m_held));
    if (++m_held == m_tile.height) start_row_of_tiles();
}

void PictureTiles::start_row_of_tiles() {
    Buffer& full = m_buffers[m_filling];
    const std::size_t stride = static_cast<std::size_t>(m_size.width);
    const int top = m_tops[m_next_top];
    const std::size_t first = m_next_top * m_lefts.size();
    // Two tiles a transform, several transforms a task.
    constexpr std::size_t tiles_a_task = 16;
    for (std::size_t begin = 0; begin < m_lefts.size(); begin += tiles_a_task) {
        const std::size_t end = std::min(begin + tiles_a_task, m_lefts.size());
        m_workers->submit(*full.group, [this, &full, stride, top, first, begin, end](int worker) {
            for (std::size_t i = begin; i < end; i += 2) {
                const std::size_t j = std::min(i + 1, end - 1);
                const float* one = full.rows.data() + m_lefts[i];
                const float* other = full.rows.data() + m_lefts[j];
                RingPowers of_other{};
                m_spectra[static_cast<std::size_t>(worker)]->powers({one, stride}, {other, stride},
                                                                    m_tiles[first + i].power, of_other);
                if (j != i) m_tiles[first + j].power = of_other;
                for (const std::size_t k : {i, j}) {
                    m_tiles[first + k].where = {m_lefts[k], top, m_tile.width, m_tile.height};
                    m_tiles[first + k].mean = mean_of(full.rows.data() + m_lefts[k], stride, m_tile);
                    m_clipped[first + k] = is_clipped(full.rows.data() + m_lefts[k], stride, m_tile) ? 1 : 0;
                }
            }
        });
    }
    // Rows go on in the other buffer, which may hold tiles that are still being looked at.
    Buffer& next = m_buffers[1 - m_filling];
    next.group->wait();
    m_held = 0;
    if (++m_next_top < m_tops.size()) {
        const int shared = top + m_tile.height - m_tops[m_next_top];
        if (shared > 0) {
            const auto from = full.rows.end() - static_cast<std::ptrdiff_t>(stride) * shared;
            std::copy(from, full.rows.end(), next.rows.begin());
            m_held = shared;
        }
    }
    m_filling = 1 - m_filling;
}

std::vector<TilePower> PictureTiles::tiles() {
    for (Buffer& buffer : m_buffers) {
        if (buffer.group) buffer.group->wait();
    }
    std::vector<TilePower> kept;
    for (std::size_t i = 0; i < m_tiles.size(); ++i) {
        if (m_clipped[i] == 0) kept.push_back(m_tiles[i]);
    }
    return kept.empty() ? std::move(m_tiles) : kept;
}

}  // namespace hangtrue::picture
