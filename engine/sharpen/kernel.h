// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The arithmetic of sharpening on rows of floats, for whichever vectors the processor has.
///
/// Every column is computed by the same operations in the same order, so a pixel's result does not depend on
/// where its row begins. Rows of scratch (all but the three planes) may be read and written up to
/// `row_padding` floats past their end. No allocation, no state; thread-safe.

#include <array>
#include <cstddef>
#include <span>

namespace hangtrue::sharpen::kernel {

/// At least four of the widest vectors, in floats: rows are walked in steps of that.
inline constexpr int row_padding = 64;
inline constexpr std::size_t most_terms = 3;

/// out[x] = the weighted mean of three channels. `out` is scratch, the planes are not.
void luminance_row(const std::array<const float*, 3>& planes, const std::array<float, 3>& weights, float* out, int n);

/// Symmetric filters of one length, shorter ones filled up with zeros: taps[r] belongs to the rows r away.
struct Taps {
    std::size_t terms = 0;  ///< 1 to most_terms.
    int radius = 0;
    std::array<const float*, most_terms> taps{};  ///< radius + 1 each.
};

/// For each term, out[x] = taps[0] centre[x] + sum_r taps[r] (row -r [x] + row r [x]), down the columns of
/// 2 * radius + 1 rows from the top.
void filtered_columns(const float* const* rows, const Taps& taps, const std::array<float*, most_terms>& out, int n);

/// The least and greatest of each column of `rows`.
void extreme_columns(std::span<const float* const> rows, float* least, float* greatest, int n);

/// One term along the row: what `filtered_columns` made of it is filtered once more.
struct TermRow {
    const float* columns = nullptr;
    std::span<const float> taps;
    float gain = 0;
};

/// detail[x] = sum over terms of gain * (luminance[x] - filtered[x]).
void detail_row(const float* luminance, std::span<const TermRow> terms, float* detail, int n);

/// The filter's nonlinear part. Fades are reciprocals of the ranges over which sharpening fades out.
struct Limits {
    float threshold = 0;
    float overshoot = 0;
    float per_highlight_fade = 0;
    float per_shadow_fade = 0;
};

struct Neighbourhood {
    const float* luminance = nullptr;
    const float* detail = nullptr;
    const float* least = nullptr;  ///< Of the columns; `reach` more of them on each side are read.
    const float* greatest = nullptr;
    int reach = 0;
};

/// Adds the detail, limited, to the three planes.
void sharpened_row(const Neighbourhood& from, const Limits& limits, const std::array<float*, 3>& planes, int n);

}  // namespace hangtrue::sharpen::kernel
