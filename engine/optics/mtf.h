// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Modulation transfer: models of blur, and the response of a resampling kernel. Frequencies are in cycles a
/// unit, widths in that unit (mm on the print, pixels in a picture). Pure mathematics, thread-safe.

#include "engine/optics/values.h"

namespace hangtrue::optics {

/// exp(-2 pi^2 sigma^2 f^2), the transform of a Gaussian of standard deviation `sigma`.
double gaussian_mtf(double sigma, double frequency);

/// The Gaussian whose MTF is one half at `f50`: sqrt(ln 2 / 2) / (pi f50) = 0.18739 / f50.
double sigma_of_f50(double f50);
double f50_of_sigma(double sigma);

/// A pixel that gathers light over `width`: |sin(pi w f) / (pi w f)|.
double box_mtf(double width, double frequency);

/// The response of the Lanczos kernel with `lobes` (2 or more) lobes, `frequency` in cycles a sample of the coarser
/// grid: a picture pixel when enlarging, a file pixel when reducing. 1 at 0, about one half at 0.5, close to 0 from 0.7
/// on.
double lanczos_mtf(int lobes, double frequency);

}  // namespace hangtrue::optics
