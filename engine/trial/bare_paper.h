// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The light on a sheet, from its bare paper. Pure, thread-safe.

#include <array>
#include <span>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/trial/homography.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

double mm_a_pixel(const Sheet& sheet);
/// Of a mark; the sheet's smallest thing, at least twice the medium's blur.
double module_mm(const Sheet& sheet);
/// In millimetres from the sheet's upper left corner.
base::RealRect in_mm(const Sheet& sheet, base::PixelRect rect);

/// Sides of the squares of bare paper that are looked at.
inline constexpr double paper_spot_mm = 0.5;
/// How far they keep from what is printed, in modules: over two sigma of the medium's blur.
inline constexpr double paper_margin_modules = 0.45;

/// The middles, in mm, of squares of nothing but paper, about 2 mm apart, within the frame of the marks: what lies
/// beyond may be cut off.
std::vector<Point> paper_spots(const Sheet& sheet);

/// "the upper left", "the middle", "the right" … of the sheet as it reads.
std::string place_words(const Sheet& sheet, Point mm);

/// What falls where, as the logarithm of what the paper gives back: a polynomial over the sheet.
class Light {
  public:
    static constexpr std::size_t most_terms = 10;  ///< Up to the third order.

    /// From the paper's values (over 0) at `spots`: robust against specks, hairs and glints; of the order, 0 to 3, that
    /// foretells the left out fifth of the spots best.
    Light(const Sheet& sheet, std::span<const Point> spots, std::span<const double> values);

    /// The paper's value there.
    double at(Point mm) const;
    /// What the spots lie off that by, as a share of it: one standard deviation, specks aside.
    double scatter() const { return m_scatter; }

  private:
    double m_width = 1;
    double m_height = 1;
    std::array<double, most_terms> m_terms{};
    double m_scatter = 0;
};

}  // namespace hangtrue::trial
