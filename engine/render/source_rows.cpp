// SPDX-License-Identifier: Apache-2.0
#include "engine/render/source_rows.h"

#include <algorithm>
#include <cstdint>

namespace hangtrue::render {
namespace {

constexpr int rows_per_chunk = 32;

}  // namespace

const std::byte* SourceRows::row(int row) const {
    const int last = static_cast<int>(rows.size()) - 1;
    return rows[static_cast<std::size_t>(std::clamp(row - first, 0, last))];
}

void row_into_planes(const SourceRows& rows, int x, int y, const raster::PictureInfo& picture,
                     const colour::WorkingForm& working, const colour::Planes& out) {
    const std::byte* samples = rows.row(y) + static_cast<std::size_t>(x) * picture.bytes_per_pixel();
    const std::size_t count = out.red.size() * static_cast<std::size_t>(picture.channels());
    if (picture.bits == 8) {
        working.from_samples({reinterpret_cast<const std::uint8_t*>(samples), count}, out);
    } else {
        working.from_samples({reinterpret_cast<const std::uint16_t*>(samples), count}, out);
    }
}

SourceWindow::SourceWindow(raster::RowReader& reader) : m_reader(reader) {}

std::shared_ptr<SourceWindow::Chunk> SourceWindow::fresh_chunk() {
    for (auto& spare : m_spare) {
        if (spare.use_count() == 1) {
            std::swap(spare, m_spare.back());
            auto chunk = std::move(m_spare.back());
            m_spare.pop_back();
            return chunk;
        }
    }
    return std::make_shared<Chunk>(rows_per_chunk * m_reader.info().bytes_per_row());
}

SourceRows SourceWindow::rows(int first, int last, int keep_from, base::Progress& progress) {
    while (!m_held.empty() && m_held.front().first + m_held.front().count <= std::min(keep_from, first)) {
        m_spare.push_back(std::move(m_held.front().samples));
        m_held.pop_front();
    }
    if (!m_held.empty() && first < m_held.front().first) m_held.clear();  // a step back: start anew

    int next = m_held.empty() ? first : m_held.back().first + m_held.back().count;
    if (next < first) {
        // Rows between two parts of a window that nobody needs.
        m_held.clear();
        next = first;
    }
    const std::size_t row_bytes = m_reader.info().bytes_per_row();
    while (next < last) {
        const int count = std::min(rows_per_chunk, m_reader.info().size.height - next);
        auto chunk = fresh_chunk();
        m_reader.read_rows(next, count, std::span(*chunk).first(static_cast<std::size_t>(count) * row_bytes), progress);
        m_held.push_back({next, count, std::move(chunk)});
        next += count;
    }

    SourceRows result;
    result.first = first;
    result.rows.reserve(static_cast<std::size_t>(last - first));
    for (const Held& held : m_held) {
        if (held.first + held.count <= first || held.first >= last) continue;
        for (int row = std::max(first, held.first); row < std::min(last, held.first + held.count); ++row) {
            result.rows.push_back(held.samples->data() + static_cast<std::size_t>(row - held.first) * row_bytes);
        }
        result.owners.push_back(held.samples);
    }
    return result;
}

}  // namespace hangtrue::render
