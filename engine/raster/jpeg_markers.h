// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The segments of a JPEG before its samples (ITU-T T.81, annex B), read strictly.

#include <cstddef>
#include <vector>

#include "engine/raster/byte_source.h"
#include "engine/raster/read_back.h"

namespace hangtrue::raster {

/// Reads on behind SOI to the end of the SOS segment; fills in tags, subsampled and other_tags. Returns all
/// bytes of the header, SOI included, for the decoder. Throws UnreadableInput.
std::vector<std::byte> read_jpeg_header(ByteSource& file, FoundFile& found);

}  // namespace hangtrue::raster
