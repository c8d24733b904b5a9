// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Noise and blur as values that are measured in one part and used in another. Pure data.

namespace hangtrue::optics {

/// White noise, as the standard deviation of luminance in the picture's own encoding, of 255.
struct Noise {
    double sd_8bit = 0;
    friend bool operator==(const Noise&, const Noise&) = default;
};

/// A Gaussian that stands for a blur: its MTF is exp(-2 pi^2 sigma^2 f^2). Pixels of the picture where it is measured.
struct Blur {
    double sigma_px = 0;
    friend bool operator==(const Blur&, const Blur&) = default;
};

}  // namespace hangtrue::optics
