// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/spill.h"

#include <cassert>

namespace hangtrue::raster {

SpilledRows::SpilledRows(const std::filesystem::path& folder, std::size_t bytes_per_row, int rows,
                         const std::string& purpose, base::Faults& faults)
    : m_file(base::scratch_file(folder, static_cast<std::int64_t>(bytes_per_row) * rows, purpose)),
      m_folder(folder),
      m_bytes_per_row(bytes_per_row),
      m_rows(rows),
      m_faults(&faults) {}

void SpilledRows::write(int first, std::span<const std::byte> rows) {
    assert(first >= 0 && rows.size() % m_bytes_per_row == 0);
    assert(first + static_cast<std::int64_t>(rows.size() / m_bytes_per_row) <= m_rows);
    base::write_at(m_file.get(), rows, static_cast<std::int64_t>(m_bytes_per_row) * first, m_folder, *m_faults);
}

void SpilledRows::read(int first, std::span<std::byte> rows) const {
    assert(first >= 0 && rows.size() % m_bytes_per_row == 0);
    assert(first + static_cast<std::int64_t>(rows.size() / m_bytes_per_row) <= m_rows);
    base::read_at(m_file.get(), rows, static_cast<std::int64_t>(m_bytes_per_row) * first, m_folder);
}

std::int64_t SpilledRows::bytes() const { return static_cast<std::int64_t>(m_bytes_per_row) * m_rows; }

}  // namespace hangtrue::raster
