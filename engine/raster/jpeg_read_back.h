// SPDX-License-Identifier: Apache-2.0
#pragma once

/// read_back for JPEG: the parts of read_back.cpp that know the format.

#include "engine/raster/hashing_reader.h"
#include "engine/raster/read_back.h"

namespace hangtrue::raster {

/// Reads on behind the first two bytes (SOI) to the end marker; all but bytes and sha256 is filled in.
FoundFile read_jpeg_back(HashingReader& file, int rows_at_once, const RowSink& sink, base::Progress& progress);

}  // namespace hangtrue::raster
