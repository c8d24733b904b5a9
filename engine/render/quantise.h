// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From float planes in file space to the file's samples: rounding, and dither for 8 bits.
///
/// Rounds to nearest, never truncates. The dither is evenly spread over (-1/2, 1/2) code and a hash of x, y and
/// channel: its mean is zero, a value that is a code already keeps it, and so do white and black. Thread-safe.

#include <cstddef>
#include <cstdint>
#include <span>

namespace hangtrue::render {

/// One row: planes of `count` values in 0..1, at file position (x, y), interleaved R G B out.
struct PlaneRow {
    const float* red;
    const float* green;
    const float* blue;
    std::size_t count;
};

/// A black-and-white picture is dithered alike in its three channels, so that it stays black-and-white.
enum class Dither { none, each_channel, alike };

void quantise_row_8(const PlaneRow& row, int x, int y, Dither dither, std::span<std::uint8_t> out);
void quantise_row_16(const PlaneRow& row, std::span<std::uint16_t> out);

}  // namespace hangtrue::render
