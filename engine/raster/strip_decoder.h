// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Strips of TIFF samples, decompressed for reading back: strict, so that a damaged strip is noticed.
/// Thread-safe.

#include <cstddef>
#include <span>
#include <stdexcept>
#include <string>

#include "engine/raster/print_writer.h"

namespace hangtrue::raster {

/// What is wrong with a strip: completes "strip 12 …".
class StripDamaged : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// Fills `out` (whole rows of `row_bytes`, interleaved RGB of 8 or 16 `bits`) from exactly the bytes of
/// `strip`. Throws StripDamaged when they are too few, too many, or no such code.
void decode_strip(std::span<const std::byte> strip, TiffCompression compression, std::size_t row_bytes, int bits,
                  std::span<std::byte> out);

}  // namespace hangtrue::raster
