// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Stored rows turned upright (TIFF 6.0, tag 274, which Exif shares): mirrored and upside-down pictures in
/// passing where any row can be read, all others through a scratch file, once.

#include <memory>

#include "engine/raster/row_reader.h"
#include "engine/raster/stored_rows.h"

namespace hangtrue::raster {

/// True for orientations 5 to 8, where the stored rows are upright columns.
constexpr bool is_quarter_turned(int orientation) { return orientation >= 5; }

/// The upright size of a picture stored as `stored`.
constexpr base::PixelSize upright(base::PixelSize stored, int orientation) {
    return is_quarter_turned(orientation) ? base::PixelSize{stored.height, stored.width} : stored;
}

/// Takes `picture` as stored. Reads the whole picture once where it must be spilled. Throws
/// UnreadableInput, WriteFailed, Cancelled.
std::unique_ptr<RowReader> turned_upright(StoredPicture picture, const OpenOptions& options, base::Progress& progress);

}  // namespace hangtrue::raster
