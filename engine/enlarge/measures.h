// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace hangtrue::enlarge {

/// What becomes of the grain that the network takes away: it is put back as strong as it was, or left out.
enum class Grain { keep, calm };

/// What the network is told of the picture.
struct Measures {
    double noise_sd = 0;  ///< Standard deviation in the encoding, 0..1.
    double blur_px = 0;   ///< Standard deviation of a Gaussian; 0: crisp.
    double coding = 0;    ///< The factor on JPEG's example tables (ITU-T T.81 K.1): 0.5 at quality 75; 0: never coded.
    friend bool operator==(const Measures&, const Measures&) = default;
};

}  // namespace hangtrue::enlarge
