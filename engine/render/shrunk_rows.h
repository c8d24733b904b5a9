// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A picture with each square of `factor` x `factor` pixels averaged, read in passing: strong reductions begin with it,
/// so that their memory is bounded by the width of a row, not by how much is reduced.
///
/// Averages light as the sRGB curve decodes the samples (IEC 61966-2-1), which is near every picture encoding's own;
/// what is left is then reduced exactly. 16 bit out, whatever the picture has. One thread at a time.

#include <cstdint>
#include <vector>

#include "engine/raster/row_reader.h"

namespace hangtrue::render {

/// The whole factor by which a reduction to `scale` (file pixels a picture pixel) begins: 1 from a quarter on, so that
/// what is left to the resampler lies between a quarter and a half.
int shrink_factor(double scale);

class ShrunkRows : public raster::RowReader {
  public:
    ShrunkRows(raster::RowReader& picture, int factor);
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override;

  private:
    void add_row(const std::byte* samples);

    raster::RowReader& m_picture;
    int m_factor;
    std::vector<float> m_light;  ///< Of each code of the picture's depth.
    std::vector<std::byte> m_row;
    std::vector<float> m_sums;
};

}  // namespace hangtrue::render
