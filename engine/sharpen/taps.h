// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The short symmetric filter that stands for a Gaussian. Pure mathematics, thread-safe.

#include <vector>

namespace hangtrue::sharpen {

/// Pixels on each side that the filter of a Gaussian needs: 3.3 sigma, at least 6.
int radius_of(double sigma_px);

/// Centre and one side, radius_of() + 1 taps that sum (the side counted twice) to 1: the least-squares fit to
/// the response exp(-2 pi^2 sigma^2 f^2) up to 0.5 cycles a pixel. A sampled Gaussian would miss it where
/// sigma is under 0.8 px.
std::vector<float> gaussian_taps(double sigma_px);

}  // namespace hangtrue::sharpen
