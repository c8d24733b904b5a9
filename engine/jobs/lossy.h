// SPDX-License-Identifier: Apache-2.0
#pragma once

/// JPEG print files: the highest quality that fits the shop's limit, and what the coding costs in colour.

#include <cstddef>
#include <span>
#include <vector>

#include "engine/colour/difference.h"
#include "engine/jobs/print_file.h"
#include "engine/raster/spill.h"

namespace hangtrue::jobs {

struct LossyPrint {
    int quality = 100;
    base::Sha256 sha256;          ///< Of the bytes as the encoder gave them.
    raster::SpilledRows samples;  ///< What the encoder was given.
};

/// Throws InvalidWish when no quality worth printing fits the shop's limit.
LossyPrint written_jpeg(const PrintInputs& inputs, base::OutputFile& file, render::SampleRecord& record,
                        Context& context, StageSeconds& seconds);

/// Compares decoded rows with the samples that were coded, on every eighth pixel of every eighth row.
class LossyComparison {
  public:
    LossyComparison(const raster::SpilledRows& samples, base::PixelSize size, const colour::Profile& profile);
    void take(int first, int count, std::span<const std::byte> decoded);
    LossyCost cost(int quality);

  private:
    const raster::SpilledRows& m_samples;
    base::PixelSize m_size;
    colour::LabReader m_lab;
    std::vector<std::int64_t> m_counts;  ///< Of differences, in steps of a hundredth.
    std::int64_t m_compared = 0;
    double m_sum = 0;
    double m_largest = 0;
};

/// The decoded file is the picture that was coded: no 64x64 block's mean is off by more than 1 % of the range.
bool within_lossy_limits(const render::SampleRecord& given, const render::SampleRecord& decoded);

}  // namespace hangtrue::jobs
