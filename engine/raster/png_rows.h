// SPDX-License-Identifier: Apache-2.0
#pragma once

/// PNG files: grey and RGB of 8 and 16 bit; 1, 2 and 4-bit grey and palettes are converted to 8 bit.

#include <memory>

#include "engine/raster/picture_file.h"
#include "engine/raster/stored_rows.h"

namespace hangtrue::raster {

/// Reads the header; rows are decoded as they are asked for. An interlaced picture is kept whole once its
/// first row is read, because its rows are complete only after the last of seven passes.
/// Throws UnreadableInput.
StoredPicture open_png(std::shared_ptr<const PictureFile> file);

}  // namespace hangtrue::raster
