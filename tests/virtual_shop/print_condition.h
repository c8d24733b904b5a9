// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A published print condition: from ink on paper to colour, and what of it can be printed. Thread-safe once built.

#include <array>
#include <map>
#include <string>
#include <vector>

#include "engine/colour/difference.h"

namespace hangtrue::virtual_shop {

/// Dot areas as the plate has them, per cent.
struct Cmyk {
    double c = 0;
    double m = 0;
    double y = 0;
    double k = 0;
};

/// Cellular interpolation of the published patches: on the full grids of C, M and Y that the data holds at K 0, 20, 40,
/// 60, 80 and 100, linear in the cube roots of X, Y and Z (a Yule-Nielsen factor of 3 within a cell).
class PrintCondition {
  public:
    /// `name`: a table of Debian's icc-profiles-free ("FOGRA39L"). Throws UnreadableInput.
    explicit PrintCondition(const std::string& name);

    /// D50, 2 degrees, absolute: the perfect diffuser has Y = 1.
    colour::Xyz printed(const Cmyk& inks) const;
    colour::Xyz paper() const { return printed({}); }

  private:
    struct Level {
        double k = 0;
        std::vector<double> steps;                  ///< Of C, M and Y alike.
        std::vector<std::array<double, 3>> values;  ///< Cube roots; C changes slowest, Y fastest.
    };
    static std::array<double, 3> at(const Level& level, const Cmyk& inks);
    std::vector<Level> m_levels;
};

/// Colour as seen when the eye takes the paper for white: XYZ over the paper's, as Lab.
colour::Lab paper_relative(colour::Xyz absolute, colour::Xyz paper);
colour::Xyz absolute_of(colour::Lab relative, colour::Xyz paper);

/// Most ink: C, M and Y are taken back together until the sum holds.
Cmyk limited(Cmyk inks, double ink_limit);

/// All that can be printed, in paper-relative Lab: the largest chroma at each lightness and hue, from the images of the
/// ink cube's faces. Hue and chroma count from an axis that runs from the darkest print to the paper.
class Gamut {
  public:
    Gamut(const PrintCondition& condition, double ink_limit);

    const colour::Lab& black() const { return m_black; }
    bool holds(const colour::Lab& relative) const;
    /// Colours that can be printed stay; the others move to the nearest of their own hue.
    colour::Lab nearest(const colour::Lab& relative) const;
    /// Smoothly: the tone scale ends in the black there is, and chroma is compressed over four fifths of the largest.
    colour::Lab compressed(const colour::Lab& relative) const;

  private:
    struct Cylinder {
        double lightness = 0;
        double chroma = 0;
        double hue = 0;  ///< Degrees, 0 to 360.
    };
    Cylinder cylinder(const colour::Lab& relative) const;
    colour::Lab lab(const Cylinder& at) const;
    double largest_chroma(double lightness, double hue) const;
    void add_triangle(const std::array<colour::Lab, 3>& corners);

    colour::Lab m_black{100, 0, 0};
    std::vector<double> m_chroma;  ///< levels x hues.
};

}  // namespace hangtrue::virtual_shop
