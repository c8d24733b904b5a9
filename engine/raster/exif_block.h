// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The Exif block of a JPEG: author and copyright, and the resolution that JFIF says too. Thread-safe.

#include <cstddef>
#include <vector>

#include "engine/raster/print_writer.h"

namespace hangtrue::raster {

/// The contents of an APP1 segment (CIPA DC-008, "Exif\0\0" and a TIFF directory); empty where `tags` name
/// neither author nor copyright. `dpi` is the JFIF density. Throws WriteFailed when the texts do not fit
/// into a segment.
std::vector<std::byte> exif_block(const PrintTags& tags, int dpi);

}  // namespace hangtrue::raster
