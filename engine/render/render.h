// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A settled plan and an opened picture become samples: the block scheduler.
///
/// Memory is bounded by a few bands of the file and the picture rows under them. The same plan and picture
/// give the same bytes for any number of threads and any window.

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "engine/base/progress.h"
#include "engine/colour/conversion.h"
#include "engine/raster/row_reader.h"
#include "engine/render/block_maker.h"

namespace hangtrue::render {

/// Samples of whole rows of `rect` (file pixels), interleaved R G B, 8 or 16 bit as the plan says.
struct Band {
    int number = 0;  ///< On the grid, from the file's top.
    base::PixelRect rect;
    std::vector<std::byte> samples;
    std::vector<std::vector<std::byte>> encoded;  ///< The sink's own, from `prepare` to `take`.
};

class BandSink {
  public:
    virtual ~BandSink() = default;
    /// On a worker's thread, bands in any order: digesting, compressing.
    virtual void prepare(Band& /*band*/) {}
    /// On the caller's thread, bands in order from the top.
    virtual void take(Band& band) = 0;
};

/// Computes the file's pixels. Throws what reading and the sink throw, and Cancelled.
void render_file(const Stages& stages, raster::RowReader& picture, int threads, BandSink& sink,
                 base::Progress& progress);

/// Only the blocks under `window` (which must lie within the file): bands reach from its first block to its last. Where
/// a network enlarges, what lies outside of the window is not to be used.
void render_window(const Stages& stages, raster::RowReader& picture, base::PixelRect window, int threads,
                   BandSink& sink, base::Progress& progress);

/// The samples that the file holds in `window`, rows one after the other.
std::vector<std::byte> rendered_window(const Stages& stages, raster::RowReader& picture, base::PixelRect window,
                                       int threads, base::Progress& progress);

/// The same window once for each conversion, sample for sample as rendered_window gives it: all but colour is computed
/// once, on this thread. The window must lie within the picture's own pixels, and the file must not be mirrored.
std::vector<std::vector<std::byte>> rendered_variants(const Stages& stages,
                                                      std::span<const colour::Conversion* const> conversions,
                                                      raster::RowReader& picture, base::PixelRect window,
                                                      base::Progress& progress);

}  // namespace hangtrue::render
