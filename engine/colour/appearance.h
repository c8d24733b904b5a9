// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How a colour looks under a light: CIECAM02 (CIE 159:2004) and CAM16 (Li, Li, Wang, Zu, Luo, Cui, Melgosa, Brill,
/// Pointer, Color Res. Appl. 42, 2017), forward and back. Pure mathematics, thread-safe.
///
/// Valid for single colours seen for a while, at 1 to 1000 cd/m2; neither knows glare, neighbours or mixed light.

#include "engine/colour/difference.h"

namespace hangtrue::colour {

enum class AppearanceModel { ciecam02, cam16 };

/// The field round what is looked at, against its own white.
struct Surround {
    double f = 1;     ///< Degree of adaptation.
    double c = 0.69;  ///< Impact on lightness.
    double nc = 1;    ///< Chromatic induction.
};
inline constexpr Surround average_surround{1.0, 0.69, 1.0};
inline constexpr Surround dim_surround{0.9, 0.59, 0.9};
inline constexpr Surround dark_surround{0.8, 0.525, 0.8};

/// By the ratio of the surround's white to that of what is looked at: 0 dark, 0.2 and more average, between them c
/// linearly through dim at 0.1, and F and Nc with it, so that nothing jumps.
Surround surround_between(double ratio);

struct ViewingConditions {
    Xyz white{95.047, 100, 108.883};  ///< Of the scale on which colours are given: Y = 100.
    double adapting_candelas = 20;    ///< LA, cd/m2: usually a fifth of the white.
    double background = 20;           ///< Yb, of 100.
    Surround surround = average_surround;
    bool discounts_light = false;  ///< The eye is wholly adapted to the light's colour: D = 1.
};

struct Appearance {
    double lightness = 0;       ///< J, 100 for the white.
    double chroma = 0;          ///< C
    double hue = 0;             ///< h, degrees, 0 to 360.
    double saturation = 0;      ///< s
    double brightness = 0;      ///< Q
    double colourfulness = 0;   ///< M
    double hue_quadrature = 0;  ///< H, 0 to 400: red, yellow, green, blue.
};

/// One model under one light.
class AppearanceUnder {
  public:
    AppearanceUnder(AppearanceModel model, const ViewingConditions& conditions);

    /// `colour` on the scale of the white (Y = 100).
    Appearance appearance(Xyz colour) const;
    /// The colour of that lightness J, chroma C and hue h (degrees). Black where J is 0.
    Xyz colour(double lightness, double chroma, double hue) const;
    /// By colourfulness M instead of chroma.
    Xyz colour_by_colourfulness(double lightness, double colourfulness, double hue) const;

    double luminance_factor() const { return m_fl; }  ///< FL
    double adaptation() const { return m_d; }         ///< D

  private:
    struct Cones {
        double r = 0;
        double g = 0;
        double b = 0;
    };
    Cones compressed(Xyz colour) const;
    double achromatic(const Cones& cones) const;
    double chroma_scale(double lightness) const;

    AppearanceModel m_model;
    Surround m_surround;
    double m_fl = 0;
    double m_d = 0;
    double m_n = 0;
    double m_z = 0;
    double m_nbb = 0;
    Cones m_gain;  ///< Of the light's colour, on the sharpened cones.
    double m_white_achromatic = 0;
};

}  // namespace hangtrue::colour
