// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/stored_rows.h"

namespace hangtrue::raster {

void SequentialRows::read(int first, int count, std::span<std::byte> out, base::Progress& progress) {
    const std::size_t bytes_per_row = m_skipped.size();
    int next = m_next;
    m_next = -1;  // Whatever throws below leaves the decoder somewhere in between.
    if (next < 0 || next > first) {
        start(progress);
        next = 0;
    }
    for (; next < first; ++next) {
        progress.check();
        decode(m_skipped);
    }
    for (int row = 0; row < count; ++row) {
        progress.check();
        decode(out.subspan(static_cast<std::size_t>(row) * bytes_per_row, bytes_per_row));
    }
    m_next = first + count;
}

}  // namespace hangtrue::raster
