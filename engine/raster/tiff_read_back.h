// SPDX-License-Identifier: Apache-2.0
#pragma once

/// read_back for TIFF: the parts of read_back.cpp that know the format.

#include "engine/raster/hashing_reader.h"
#include "engine/raster/read_back.h"

namespace hangtrue::raster {

/// Reads on behind the first two bytes, "II", to the end of the last strip; all but bytes and sha256 is
/// filled in.
FoundFile read_tiff_back(HashingReader& file, int rows_at_once, const RowSink& sink, base::Progress& progress);

}  // namespace hangtrue::raster
