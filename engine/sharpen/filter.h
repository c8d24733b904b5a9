// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The output sharpening filter, as numbers: what a plan holds and what `apply` computes with.
///
/// Linear part: H(f) = 1 + sum_i gain_i * (1 - exp(-2 pi^2 sigma_i^2 f^2)), f in cycles a file pixel: each term
/// adds back what a Gaussian takes away. Works on luminance L, the mean of the three encoded channels weighted
/// by the space's luminance weights; what is added to L is added to each channel.

#include <array>
#include <cstddef>
#include <span>
#include <vector>

namespace hangtrue::sharpen {

struct Term {
    double sigma_px = 0;
    double gain = 0;
    friend bool operator==(const Term&, const Term&) = default;
};

struct Filter {
    std::vector<Term> terms;     ///< At most three; none: nothing is sharpened.
    double threshold = 0;        ///< In encoded units (0..1): detail about this small is noise and fades out.
    double overshoot_limit = 0;  ///< Encoded units: how far a result may pass the least and greatest L nearby.
    double highlight_fade = 0;   ///< Sharpening fades out over this much of the range below white…
    double shadow_fade = 0;      ///< …and above black.
    friend bool operator==(const Filter&, const Filter&) = default;
    bool is_off() const { return terms.empty(); }
};

/// The linear part's gain at `cycles_per_px`.
double response(const Filter& filter, double cycles_per_px);

/// Pixels beyond a block that `apply` needs on each side.
int halo_px(const Filter& filter);

/// Three planes of `width` x `height` with rows `stride` floats apart.
struct Block {
    std::array<float*, 3> planes{};
    int width = 0;
    int height = 0;
    std::size_t stride = 0;
};

/// Floats of scratch that `apply` needs for a block of that size.
std::size_t scratch_floats(const Filter& filter, int width, int height);

/// Sharpens the inner part of `block` in place: the outermost halo_px() on each side are read, not written
/// meaningfully. The caller fills the halo (beyond the image: its border pixels repeated). The result of a pixel
/// depends on its neighbourhood only, not on where the block begins, bit for bit on one processor. Thread-safe.
void apply(const Filter& filter, std::array<float, 3> luminance_weights, const Block& block, std::span<float> scratch);

}  // namespace hangtrue::sharpen
