// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace hangtrue::enlarge {

/// What becomes of the grain that the network takes away: it is put back as strong as it was, or left out.
enum class Grain { keep, calm };

/// What is known of the picture: told to the network, and what its result is held to.
struct Measures {
    double noise_sd = 0;  ///< Standard deviation in the encoding, 0..1.
    double blur_px = 0;   ///< As measured: standard deviation of a Gaussian; a crisp pixel's own is 0.29.
    double coding = 0;    ///< The factor on JPEG's example tables (ITU-T T.81 K.1): 0.5 at quality 75; 0: never coded.
    /// The blur that the network undoes (undone_blur.h), by which its result is made small again. It is not told.
    double undone_blur_px = 0;
    friend bool operator==(const Measures&, const Measures&) = default;
};

/// Of what the network has made itself, when it enlarges that once more: its training marks it by a blur of -1.
inline constexpr Measures own_result{.blur_px = -1};

}  // namespace hangtrue::enlarge
