// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Resampling alone: a plan that does nothing else, and the rows of a window as they are computed.

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/colour/profile.h"
#include "engine/plan/plan.h"
#include "engine/raster/row_reader.h"
#include "engine/render/render.h"

namespace hangtrue::jobs {

/// Lays the whole picture on `size` pixels, in `profile`'s own encoding (linear light where it gets smaller) and the
/// picture's depth: no sharpening, no dither.
plan::Plan resampling_plan(const std::string& name, const raster::PictureInfo& picture, base::PixelSize size,
                           const colour::Profile& profile);

/// `side` times `factor`, rounded to the nearest pixel, at least one.
int scaled_side(int side, double factor);

/// Rows, from the top, one or several a call.
using RowsOut = std::function<void(std::span<const std::byte> rows)>;

/// Cuts a window out of the bands that cover it.
class WindowCut : public render::BandSink {
  public:
    WindowCut(base::PixelRect window, std::size_t pixel_bytes, RowsOut out);
    void take(render::Band& band) override;

  private:
    base::PixelRect m_window;
    std::size_t m_pixel_bytes;
    RowsOut m_out;
    std::vector<std::byte> m_rows;
};

}  // namespace hangtrue::jobs
