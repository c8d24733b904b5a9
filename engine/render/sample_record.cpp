// SPDX-License-Identifier: Apache-2.0
#include "engine/render/sample_record.h"

#include <algorithm>
#include <cassert>
#include <cstring>

#include "engine/render/grid.h"

namespace hangtrue::render {
namespace {

static_assert(block_height % fingerprint_block == 0, "a fingerprint block lies in one band");

int blocks_along(int pixels) { return (pixels + fingerprint_block - 1) / fingerprint_block; }

/// Adds one row of samples to the sums of the blocks that it crosses.
template <typename Sample>
void add_row(const std::byte* samples, int width, std::span<std::uint64_t> sums) {
    const auto* values = reinterpret_cast<const Sample*>(samples);
    for (int block = 0; block * fingerprint_block < width; ++block) {
        const int end = std::min(width, (block + 1) * fingerprint_block);
        std::uint32_t red = 0;
        std::uint32_t green = 0;
        std::uint32_t blue = 0;
        for (int x = block * fingerprint_block; x < end; ++x) {
            red += values[3 * x];
            green += values[3 * x + 1];
            blue += values[3 * x + 2];
        }
        const auto at = static_cast<std::size_t>(3 * block);
        sums[at] += red;
        sums[at + 1] += green;
        sums[at + 2] += blue;
    }
}

}  // namespace

SampleRecord::SampleRecord(base::PixelSize file, int bits)
    : m_file(file),
      m_bits(bits),
      m_bands(static_cast<std::size_t>(band_count(file))),
      m_fingerprint(static_cast<std::size_t>(3) * static_cast<std::size_t>(blocks_along(file.width)) *
                    static_cast<std::size_t>(blocks_along(file.height))) {}

void SampleRecord::take_band(int band, std::span<const std::byte> samples) {
    const base::PixelRect rect = band_rect(m_file, band);
    const std::size_t row_bytes = static_cast<std::size_t>(rect.width) * 3 * static_cast<std::size_t>(m_bits / 8);
    assert(samples.size() == row_bytes * static_cast<std::size_t>(rect.height));
    m_bands[static_cast<std::size_t>(band)] = base::digest(samples);

    const int across = blocks_along(m_file.width);
    std::vector<std::uint64_t> sums(static_cast<std::size_t>(3 * across));
    for (int first = 0; first < rect.height; first += fingerprint_block) {
        const int rows = std::min(fingerprint_block, rect.height - first);
        std::fill(sums.begin(), sums.end(), 0);
        for (int row = first; row < first + rows; ++row) {
            const std::byte* at = samples.data() + static_cast<std::size_t>(row) * row_bytes;
            m_bits == 8 ? add_row<std::uint8_t>(at, rect.width, sums) : add_row<std::uint16_t>(at, rect.width, sums);
        }
        const auto block_row = static_cast<std::size_t>((rect.y + first) / fingerprint_block);
        for (int block = 0; block < across; ++block) {
            const int width = std::min(fingerprint_block, rect.width - block * fingerprint_block);
            const auto count = static_cast<std::uint64_t>(width) * static_cast<std::uint64_t>(rows);
            for (std::size_t channel = 0; channel < 3; ++channel) {
                const std::uint64_t sum =
                    sums[static_cast<std::size_t>(3 * block) + channel] * (m_bits == 8 ? 257U : 1U);
                m_fingerprint[(block_row * static_cast<std::size_t>(across) + static_cast<std::size_t>(block)) * 3 +
                              channel] = static_cast<std::uint16_t>((sum + count / 2) / count);
            }
        }
    }
}

base::Digest SampleRecord::whole() const { return base::digest(std::as_bytes(std::span(m_bands))); }

}  // namespace hangtrue::render
