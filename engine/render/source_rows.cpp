// SPDX-License-Identifier: Apache-2.0
#include "engine/render/source_rows.h"

#include <algorithm>
#include <cstdint>
#include <mutex>
#include <utility>

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

/// Chunks for reuse. Whoever lets go of a chunk last, on whatever thread, gives it back under the lock, so that the
/// next read into it comes after every look at it. (A use_count() of 1 would not say that: it orders nothing.)
class SourceWindow::Pool : public std::enable_shared_from_this<Pool> {
  public:
    std::shared_ptr<Chunk> take(std::size_t bytes) {
        std::unique_ptr<Chunk> chunk;
        {
            const std::lock_guard lock(m_mutex);
            if (!m_spare.empty()) {
                chunk = std::move(m_spare.back());
                m_spare.pop_back();
            }
        }
        if (chunk == nullptr) chunk = std::make_unique<Chunk>(bytes);
        return {chunk.release(), [pool = shared_from_this()](Chunk* done) { pool->give_back(done); }};
    }

  private:
    void give_back(Chunk* done) {
        std::unique_ptr<Chunk> chunk(done);
        const std::lock_guard lock(m_mutex);
        m_spare.push_back(std::move(chunk));
    }

    std::mutex m_mutex;
    std::vector<std::unique_ptr<Chunk>> m_spare;
};

SourceWindow::SourceWindow(raster::RowReader& reader) : m_reader(reader), m_pool(std::make_shared<Pool>()) {}

SourceWindow::~SourceWindow() = default;

SourceRows SourceWindow::rows(int first, int last, int keep_from, base::Progress& progress) {
    while (!m_held.empty() && m_held.front().first + m_held.front().count <= std::min(keep_from, first)) {
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
        auto chunk = m_pool->take(rows_per_chunk * row_bytes);
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
