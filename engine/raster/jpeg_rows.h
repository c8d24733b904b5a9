// SPDX-License-Identifier: Apache-2.0
#pragma once

/// JPEG files: 8-bit grey and RGB or YCbCr, baseline and progressive.

#include <memory>

#include "engine/raster/picture_file.h"
#include "engine/raster/stored_rows.h"

namespace hangtrue::raster {

/// Reads the header; rows are decoded as they are asked for, by the integer slow inverse DCT and libjpeg's
/// smooth chroma upsampling. A stream that libjpeg would patch up with grey is refused as damaged.
/// Throws UnreadableInput.
StoredPicture open_jpeg(std::shared_ptr<const PictureFile> file);

}  // namespace hangtrue::raster
