// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From a picture's samples to light and back, the same for R, G and B: by the curve that the picture's profile has
/// along its greys, or that of sRGB. Thread-safe.

#include <optional>
#include <vector>

#include "engine/colour/profile.h"

namespace hangtrue::trial {

class Encoding {
  public:
    /// `bits`: 8 or 16.
    Encoding(const std::optional<colour::Profile>& profile, int bits);

    /// 0..1.
    float light(std::size_t code) const { return m_light[code]; }
    std::size_t top() const { return m_light.size() - 1; }
    /// The other way, between codes too: 0..1; cut there.
    double encoded(double light) const;

  private:
    std::vector<float> m_light;  // Of each code; rising.
};

}  // namespace hangtrue::trial
