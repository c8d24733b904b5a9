// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The arithmetic of sharpening on rows of floats, for whichever vectors the processor has.
///
/// Every column is computed by the same operations in the same order, so a pixel's result does not depend on
/// where its row begins. Rows of scratch (all but the three planes) may be read and written up to
/// `row_padding` floats past their end. No allocation, no state; thread-safe.

#include <array>
#include <span>

namespace hangtrue::sharpen::kernel {

/// At least the widest vector, in floats, times the unrolling.
inline constexpr int row_padding = 64;

/// out[x] = the weighted mean of three channels. `out` is scratch, the planes are not.
void luminance_row(const std::array<const float*, 3>& planes, const std::array<float, 3>& weights, float* out, int n);

/// out[x] = taps[0] in[x] + sum_r taps[r] (in[x - r] + in[x + r]); taps.size() - 1 is the radius.
void filtered_row(const float* in, std::span<const float> taps, float* out, int n);

/// The least and greatest of in[x - radius .. x + radius].
void extremes_row(const float* in, int radius, float* least, float* greatest, int n);

struct TermRows {
    std::span<const float> taps;
    float gain = 0;
    const float* const* rows = nullptr;  ///< 2 * radius + 1 horizontally filtered rows from the top.
};

struct Neighbourhood {
    const float* luminance = nullptr;
    std::span<const TermRows> terms;
    std::span<const float* const> least;     ///< Rows of horizontal extremes from the top.
    std::span<const float* const> greatest;
};

/// The filter's nonlinear part. Fades are reciprocals of the ranges over which sharpening fades out.
struct Limits {
    float threshold = 0;
    float overshoot = 0;
    float per_highlight_fade = 0;
    float per_shadow_fade = 0;
};

/// Adds the limited detail to the three planes.
void sharpened_row(const Neighbourhood& from, const Limits& limits, const std::array<float*, 3>& planes, int n);

}  // namespace hangtrue::sharpen::kernel
