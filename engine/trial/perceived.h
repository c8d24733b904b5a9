// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How different two corrections look on given colours, quickly enough to try thousands. Pure, thread-safe.

#include <array>
#include <span>
#include <vector>

#include "engine/colour/correction.h"
#include "engine/colour/difference.h"

namespace hangtrue::trial {

/// What a shift makes of colours, in coordinates where the distance of two points is about their colour difference
/// (dE00): three numbers a colour.
using Looks = std::vector<float>;

/// Colours by which corrections are compared: a picture's part, say.
class Perceived {
  public:
    explicit Perceived(std::span<const colour::Lab> colours);

    Looks looks(const colour::Shift& shift) const;
    Looks looks(const colour::Corrector& corrector) const;
    /// Mean colour difference (dE00). Straight in small differences: within a tenth up to 8 (tests/trial).
    static double difference(const Looks& first, const Looks& second);

  private:
    struct Colour {
        colour::Lab lab;
        std::array<double, 9> metric{};  ///< From a difference in Lab to those coordinates.
    };
    std::vector<Colour> m_colours;
};

/// Greys and colours of middle strength all round, by which a correction is judged where no picture is at hand.
std::span<const colour::Lab> everyday_colours();

}  // namespace hangtrue::trial
