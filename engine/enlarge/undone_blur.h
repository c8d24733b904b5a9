// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Which blur the network undoes in a picture. What is measured of the picture's edges does not tell whether they were
/// blurred or are soft by nature; the network sees more of them, and what it makes of them tells. The blur is that of
/// the Gaussian by which its result, made small again, gives the picture back most closely.

#include <vector>

#include "engine/base/aligned_floats.h"
#include "engine/enlarge/consistency.h"
#include "engine/enlarge/network.h"

namespace hangtrue::enlarge {

/// Sums over parts of one picture, in its encoding. One thread at a time.
class UndoneBlur {
  public:
    UndoneBlur();

    /// A part of the picture (width x height pixels) and what the network alone made of it (2 width x 2 height). Within
    /// 9 pixels of its border nothing is compared.
    void add(const RgbPlanes<const float>& picture, int width, int height, const RgbPlanes<const float>& enlarged,
             base::AlignedFloats& scratch);

    /// Standard deviation in picture pixels, at most 1.6; 0: none, which is assumed where nothing tells.
    double sigma_px() const;

  private:
    struct Trial {
        double sigma_px = 0;
        Consistency made_small;
        double squares = 0;  ///< Of the differences from the picture.
    };
    std::vector<Trial> m_trials;  ///< Of no blur first.
};

}  // namespace hangtrue::enlarge
