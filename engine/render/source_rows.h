// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A sliding window over the picture's rows: read once forwards, shared with the workers, let go when no
/// later band needs them.

#include <cstddef>
#include <deque>
#include <memory>
#include <vector>

#include "engine/base/progress.h"
#include "engine/colour/conversion.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::render {

/// Rows [first, first + rows.size()) of the picture; keeps them alive. Immutable, so any thread may read.
struct SourceRows {
    int first = 0;
    std::vector<const std::byte*> rows;
    std::vector<std::shared_ptr<const std::vector<std::byte>>> owners;
    /// The row, or the nearest one where `row` lies beyond the picture: its border repeated.
    const std::byte* row(int row) const;
};

/// Pixels of picture row `y`, from `x` on, as many as `out` takes, in the working form.
void row_into_planes(const SourceRows& rows, int x, int y, const raster::PictureInfo& picture,
                     const colour::WorkingForm& working, const colour::Planes& out);

class SourceWindow {
  public:
    explicit SourceWindow(raster::RowReader& reader);
    ~SourceWindow();

    /// Rows [first, last) (within the picture), reading what is missing. Rows before `keep_from` are let go.
    SourceRows rows(int first, int last, int keep_from, base::Progress& progress);

  private:
    using Chunk = std::vector<std::byte>;
    struct Held {
        int first;
        int count;
        std::shared_ptr<Chunk> samples;
    };
    class Pool;

    raster::RowReader& m_reader;
    std::shared_ptr<Pool> m_pool;  ///< Lives on as long as anybody holds rows.
    std::deque<Held> m_held;       ///< Adjoining, in order.
};

}  // namespace hangtrue::render
