// SPDX-License-Identifier: Apache-2.0
#pragma once

/// TIFF files, classic and BigTIFF.

#include <memory>

#include "engine/raster/picture_file.h"
#include "engine/raster/stored_rows.h"

namespace hangtrue::raster {

/// Reads the first directory. Rows come by the shortest way that the file's layout allows: uncompressed
/// strips straight from the file, at any place; small compressed strips and tile rows one at a time; a large
/// compressed strip row by row. Throws UnreadableInput.
StoredPicture open_tiff(std::shared_ptr<const PictureFile> file);

}  // namespace hangtrue::raster
