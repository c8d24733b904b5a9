// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What is kept of samples instead of the samples: a digest a band, and the mean of each 64x64 block.
/// Taken before the encoder and again when reading back. Bands may be taken in any order, at once from
/// several threads as long as no two take the same band.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/base/hash.h"
#include "engine/base/units.h"

namespace hangtrue::render {

inline constexpr int fingerprint_block = 64;

class SampleRecord {
  public:
    SampleRecord(base::PixelSize file, int bits);

    /// The band's samples, interleaved R G B, whole rows.
    void take_band(int band, std::span<const std::byte> samples);

    /// Of all samples: the digest of the bands' digests.
    base::Digest whole() const;
    const std::vector<base::Digest>& bands() const { return m_bands; }
    /// 16 bit (8-bit means times 257), R G B of each block, row by row.
    const std::vector<std::uint16_t>& fingerprint() const { return m_fingerprint; }

  private:
    base::PixelSize m_file;
    int m_bits;
    std::vector<base::Digest> m_bands;
    std::vector<std::uint16_t> m_fingerprint;
};

}  // namespace hangtrue::render
