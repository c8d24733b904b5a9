// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Samples as read become rows of luminance, of 255, and what must be counted over every pixel is counted.

#include <cstddef>
#include <cstdint>
#include <span>

#include "engine/raster/row_reader.h"

namespace hangtrue::picture {

struct Counts {
    std::int64_t pixels = 0;
    std::int64_t white = 0;     ///< At the top code in some channel.
    std::int64_t black = 0;     ///< At 0 in all.
    std::int64_t coloured = 0;  ///< R, G and B further than one code of 8 bits apart.
};

/// Counts one row of `info`'s samples.
void count_row(const raster::PictureInfo& info, std::span<const std::byte> row, Counts& counts);

/// Luminance in the picture's own encoding, scaled to 0..255: the mean of the channels with the weights of
/// ITU-R BT.709 (L alone where the samples are Lab).
void luminance_row(const raster::PictureInfo& info, std::span<const std::byte> row, std::span<float> out);

/// Luma as a JPEG codes it (JFIF: ITU-R BT.601 weights; of grey the samples themselves), rounded to whole codes of 255;
/// not a number where a sample is clipped, which takes from a decoded JPEG what was coded. No meaning for Lab.
void luma_row(const raster::PictureInfo& info, std::span<const std::byte> row, std::span<float> out);

}  // namespace hangtrue::picture
