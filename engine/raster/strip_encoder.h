// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Strips of TIFF samples, compressed. Pure functions: thread-safe, same input, same bytes.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/raster/print_writer.h"

namespace hangtrue::raster {

/// Whole rows of `row_bytes` interleaved RGB samples of 8 or 16 `bits`, with the horizontal predictor
/// (TIFF 6.0, section 14) where compressed.
std::vector<std::byte> encoded_rows(std::span<const std::byte> rows, std::size_t row_bytes, int bits,
                                    TiffCompression compression);

/// The most bytes that `size` bytes can become.
std::int64_t encoded_bytes_at_most(std::int64_t size, TiffCompression compression);

/// TIFF 6.0, section 13: most significant bit first, codes of 9 to 12 bits that grow one code early.
std::vector<std::byte> lzw_encoded(std::span<const std::byte> bytes);

/// RFC 1950, level 6.
std::vector<std::byte> deflate_encoded(std::span<const std::byte> bytes);

}  // namespace hangtrue::raster
