// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/coding.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace hangtrue::picture {
namespace {

constexpr std::size_t block_side = 8;
constexpr float bins_a_code = 4;
constexpr std::int64_t most_tiles = 4096;

constexpr int least_step = 2;  // Of steps of 1 rounding to whole codes leaves hardly a trace.
constexpr int most_step = 80;  // In the counts there is room for the first multiple of this.
constexpr std::size_t steps = most_step - least_step + 1;

/// ITU-T T.81, table K.1.
constexpr std::array<int, 64> example_table{16, 11, 10, 16, 24,  40,  51,  61,  12, 12, 14, 19, 26,  58,  60,  55,  //
                                            14, 13, 16, 24, 40,  57,  69,  56,  14, 17, 22, 29, 51,  87,  80,  62,  //
                                            18, 22, 37, 56, 68,  109, 103, 77,  24, 35, 55, 64, 81,  104, 113, 92,  //
                                            49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99};

/// The DCT-II with orthonormal rows (Ahmed, Natarajan, Rao 1974).
std::array<std::array<float, block_side>, block_side> cosines() {
    std::array<std::array<float, block_side>, block_side> rows{};
    for (std::size_t k = 0; k < block_side; ++k) {
        for (std::size_t x = 0; x < block_side; ++x) {
            const double scale = std::sqrt((k == 0 ? 1.0 : 2.0) / block_side);
            rows[k][x] = static_cast<float>(scale * std::cos(std::numbers::pi * (static_cast<double>(x) + 0.5) *
                                                             static_cast<double>(k) / block_side));
        }
    }
    return rows;
}

/// In 1024ths, whole, so that sums are the same in any order.
using Evidence = std::int32_t;
constexpr double evidence_unit = 1024;

/// What a coefficient says for each step: the logarithm of how much likelier it is where that step was used than where
/// none was. Those nearer to nought than to the first multiple say nothing: there are many of them in any picture.
template <std::size_t bins>
std::array<std::array<Evidence, steps>, bins> evidence_table() {
    constexpr double rounding_sd = 0.32;  // Of whole codes, 1/sqrt(12), and of three channels rounded alone.
    constexpr double stray = 0.1;         // Coefficients that lie anywhere, since samples were clipped or altered.
    std::array<std::array<Evidence, steps>, bins> table{};
    for (std::size_t bin = 0; bin + 1 < bins; ++bin) {  // The last holds all that is larger.
        const double magnitude = (static_cast<double>(bin) + 0.5) / static_cast<double>(bins_a_code);
        for (std::size_t i = 0; i < steps; ++i) {
            const double step = least_step + static_cast<double>(i);
            if (magnitude <= step / 2) continue;
            const double off = magnitude - step * std::round(magnitude / step);
            double density = 0;
            for (const double neighbour : {-step, 0.0, step}) {
                const double z = (off + neighbour) / rounding_sd;
                density += std::exp(-0.5 * z * z) / (rounding_sd * std::sqrt(2 * std::numbers::pi));
            }
            table[bin][i] =
                static_cast<Evidence>(std::lround(evidence_unit * std::log((1 - stray) * step * density + stray)));
        }
    }
    return table;
}

/// The likeliest step of one frequency.
struct Found {
    int step = 1;
    Evidence evidence = 0;
};

}  // namespace

CodingTraces::CodingTraces(base::PixelSize size, double share)
    : m_every(std::max<std::int64_t>(
          1, std::llround(share * static_cast<double>(size.count()) / (tile_step * tile_step) / most_tiles))),
      m_counts(std::size_t{ways} * frequencies * bins) {}

void CodingTraces::add(std::span<const float> band, int width, int rows) {
    const auto stride = static_cast<std::size_t>(width);
    for (int y = 0; y + tile_side <= rows; y += tile_step) {
        for (int x = 0; x + tile_side <= width; x += tile_step) {
            if (m_tiles++ % m_every == 0)
                add_tile(band.data() + static_cast<std::size_t>(y) * stride + static_cast<std::size_t>(x), stride);
        }
    }
}

void CodingTraces::add_tile(const float* corner, std::size_t stride) {
    static const auto basis = cosines();
    constexpr auto side = static_cast<std::size_t>(tile_side);
    // A sample that is not known makes the sum none either.
    float sum = 0;
    for (std::size_t y = 0; y < side; ++y) {
        for (std::size_t x = 0; x < side; ++x) sum += corner[y * stride + x];
    }
    if (!std::isfinite(sum)) return;

    for (std::size_t top = 0; top < block_side; ++top) {
        std::array<std::array<float, side>, block_side> down{};
        for (std::size_t k = 0; k < block_side; ++k) {
            for (std::size_t y = 0; y < block_side; ++y) {
                const float* row = corner + (top + y) * stride;
                for (std::size_t x = 0; x < side; ++x) down[k][x] += basis[k][y] * row[x];
            }
        }
        for (std::size_t k = 0; k < block_side; ++k) {
            for (std::size_t l = 0; l < block_side; ++l) {
                if (k + l == 0) continue;
                // For all eight ways to begin at once.
                std::array<float, block_side> both{};
                for (std::size_t x = 0; x < block_side; ++x) {
                    for (std::size_t left = 0; left < block_side; ++left) both[left] += basis[l][x] * down[k][left + x];
                }
                for (std::size_t left = 0; left < block_side; ++left) {
                    const auto bin = static_cast<int>(bins_a_code * std::abs(both[left]));
                    std::uint16_t& count = counts(top * block_side + left, k * block_side + l)[std::min(bin, bins - 1)];
                    if (count < UINT16_MAX) ++count;
                }
            }
        }
    }
}

double CodingTraces::jpeg_coding() const {
    static const auto table = evidence_table<bins>();
    const auto found = [&](std::size_t way, std::size_t frequency) {
        std::array<Evidence, steps> sums{};
        const std::uint16_t* const of_bins = counts(way, frequency);
        for (std::size_t bin = 0; bin < bins; ++bin) {
            if (of_bins[bin] == 0) continue;
            for (std::size_t i = 0; i < steps; ++i) sums[i] += of_bins[bin] * table[bin][i];
        }
        const auto best = std::ranges::max_element(sums);
        return *best > 0 ? Found{least_step + static_cast<int>(best - sums.begin()), *best} : Found{};
    };

    struct Way {
        std::array<Found, frequencies> found;
        std::int64_t evidence = 0;
    };
    Way best;
    std::int64_t second = 0;
    for (std::size_t way = 0; way < ways; ++way) {
        Way now;
        for (std::size_t frequency = 1; frequency < frequencies; ++frequency) {
            now.found[frequency] = found(way, frequency);
            now.evidence += now.found[frequency].evidence;
        }
        if (now.evidence > best.evidence) {
            second = best.evidence;
            best = now;
        } else {
            second = std::max(second, now.evidence);
        }
    }
    // Where nothing was coded, the best of 64 ways stands out by chance, and in small pictures more; where samples
    // themselves lie on a comb (stretched, or few colours), all ways do.
    constexpr double least_evidence = 150;
    constexpr int least_times_second = 3;
    if (static_cast<double>(best.evidence) < evidence_unit * least_evidence ||
        best.evidence < least_times_second * second)
        return 0;

    // As of a file's table: steps of 1 are no coding.
    constexpr double certain = 6;
    int above_one = 0;
    int example = 0;
    for (std::size_t frequency = 1; frequency < frequencies; ++frequency) {
        if (static_cast<double>(best.found[frequency].evidence) < evidence_unit * certain) continue;
        above_one += best.found[frequency].step - 1;
        example += example_table[frequency];
    }
    return example > 0 ? static_cast<double>(above_one) / example : 0;
}

double coded_power(double jpeg_coding, double cycles_per_px) {
    if (!(jpeg_coding > 0)) return 0;
    constexpr double near = 0.07;
    constexpr double measured_share = 0.4;
    double sum = 0;
    int count = 0;
    for (std::size_t k = 0; k < block_side; ++k) {
        for (std::size_t l = 0; l < block_side; ++l) {
            const double frequency = std::hypot(static_cast<double>(k), static_cast<double>(l)) / (2 * block_side);
            if (std::abs(frequency - cycles_per_px) > near) continue;
            const double step = std::max(1.0, jpeg_coding * example_table[k * block_side + l]);
            sum += step * step / 12;
            ++count;
        }
    }
    return count > 0 ? measured_share * sum / count : 0;
}

}  // namespace hangtrue::picture
