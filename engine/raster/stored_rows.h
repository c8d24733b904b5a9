// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Rows in the order and direction in which the file stores them: what each file kind gives, before
/// turned_rows.h turns them upright.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "engine/base/progress.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::raster {

/// One thread at a time.
class StoredRows {
  public:
    virtual ~StoredRows() = default;

    /// Fills `out` with whole rows from `first`. Throws UnreadableInput, Cancelled.
    virtual void read(int first, int count, std::span<std::byte> out, base::Progress& progress) = 0;

    /// True where any row can be had without decoding all before it.
    virtual bool any_place() const = 0;

    /// As RowReader's.
    virtual std::int64_t decoder_bytes() const { return 0; }
};

/// Rows that come one after the other; a step back starts anew.
class SequentialRows : public StoredRows {
  public:
    void read(int first, int count, std::span<std::byte> out, base::Progress& progress) final;
    bool any_place() const final { return false; }

  protected:
    explicit SequentialRows(std::size_t bytes_per_row) : m_skipped(bytes_per_row) {}

    /// Puts the decoder before row 0.
    virtual void start(base::Progress& progress) = 0;
    /// Decodes the next row.
    virtual void decode(std::span<std::byte> row) = 0;

  private:
    std::vector<std::byte> m_skipped;
    int m_next = -1;  ///< The row that comes next; -1 before the first start and after a failure.
};

/// A file's header judged, and its rows. `info.size` and the rows are as stored, not upright.
struct StoredPicture {
    PictureInfo info;
    std::unique_ptr<StoredRows> rows;
};

}  // namespace hangtrue::raster
