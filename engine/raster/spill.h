// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Rows kept in an unnamed scratch file, to be read again at any place. One thread at a time.

#include <cstddef>
#include <filesystem>
#include <span>
#include <string>

#include "engine/base/faults.h"
#include "engine/base/output_file.h"

namespace hangtrue::raster {

class SpilledRows {
  public:
    /// Throws WriteFailed where there is not enough room; `purpose` as in base::scratch_file.
    SpilledRows(const std::filesystem::path& folder, std::size_t bytes_per_row, int rows, const std::string& purpose,
                base::Faults& faults);
    void write(int first, std::span<const std::byte> rows);
    void read(int first, std::span<std::byte> rows) const;
    std::int64_t bytes() const;

  private:
    base::Descriptor m_file;
    std::filesystem::path m_folder;
    std::size_t m_bytes_per_row;
    int m_rows;
    base::Faults* m_faults;
};

}  // namespace hangtrue::raster
