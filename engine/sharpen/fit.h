// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Fitting a filter's terms to a wanted response. Pure mathematics, thread-safe.

#include <span>
#include <vector>

#include "engine/sharpen/filter.h"

namespace hangtrue::sharpen {

struct Wanted {
    double cycles_per_px = 0;
    double gain = 1;
    double most = 1;    ///< The response must not pass it here.
    double weight = 0;  ///< Of the squared error.
};

/// The largest gain on the pixel grid, diagonals included (up to sqrt(1/2) cycles a pixel).
double largest_response(const Filter& filter);

/// The terms, three at most, whose response comes closest to `wanted` without passing `most` there, or `limit`
/// anywhere, and without falling under 0.9. Sigmas come from a fixed geometric series; gains may be negative (a
/// response that rises and comes back). Empty where no term helps.
std::vector<Term> fitted_terms(std::span<const Wanted> wanted, double limit);

}  // namespace hangtrue::sharpen
