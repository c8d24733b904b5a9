// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Noise and blur as values that are measured in one part and used in another. Pure data.

namespace hangtrue::optics {

/// The share of white noise's variance that lies below a quarter cycle a pixel along both axes.
inline constexpr double white_coarse_share = 0.25;

/// Noise of the picture's luminance, in its own encoding, of 255.
struct Noise {
    double sd_8bit = 0;  ///< Standard deviation, over all frequencies.
    /// The part of the variance below a quarter cycle a pixel along both axes. Demosaicing and lossy coding take the
    /// finest noise and leave the coarse: towards 1.
    double coarse_share = white_coarse_share;
    friend bool operator==(const Noise&, const Noise&) = default;
};

/// A Gaussian that stands for a blur: its MTF is exp(-2 pi^2 sigma^2 f^2). Pixels of the picture where it is measured.
struct Blur {
    double sigma_px = 0;
    friend bool operator==(const Blur&, const Blur&) = default;
};

}  // namespace hangtrue::optics
