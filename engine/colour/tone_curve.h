// SPDX-License-Identifier: Apache-2.0
#pragma once

/// One channel's curve as its profile gives it: encoded value to linear light and back, in double precision.
///
/// The slow, clear form; what runs over pixels is a form made from it (fast_curve.h). Values are scaled so
/// that encoded 1 is linear 1 exactly. Beyond 0..1 the curve is mirrored at 0 and goes on straight above 1.
/// Thread-safe.

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace hangtrue::colour {

class ToneCurve {
  public:
    /// ICC.1 parametricCurveType, function 4: (a x + b)^g + e from d upwards, c x + f below.
    struct Parameters {
        double g = 1;
        double a = 1;
        double b = 0;
        double c = 0;
        double d = 0;
        double e = 0;
        double f = 0;
        friend bool operator==(const Parameters&, const Parameters&) = default;
    };

    /// The straight line.
    ToneCurve() = default;
    static ToneCurve gamma(double exponent);
    /// IEC 61966-2-1.
    static ToneCurve srgb();

    /// Nothing where the curve cannot be inverted: it falls somewhere, or does not go from 0 to (about) 1.
    static std::optional<ToneCurve> from_parameters(const Parameters& parameters);

    /// A curve sampled at even steps, 16 bits. One that is a gamma or a well-known curve (sRGB, L*)
    /// rounded to 16 bits, as version 2 profiles hold them, is taken as that curve: near black the rounding
    /// would show as steps.
    static std::optional<ToneCurve> from_table(std::span<const std::uint16_t> table);

    double to_linear(double encoded) const;
    double to_encoded(double linear) const;
    /// What the curve is made of, before it is scaled to end in 1; nothing where it is a table.
    std::optional<Parameters> parameters() const { return m_table ? std::nullopt : std::optional(m_parameters); }
    /// d linear / d encoded above 1.
    double slope_above_one() const { return m_slope; }

    friend bool operator==(const ToneCurve& first, const ToneCurve& second);

  private:
    double inside(double encoded) const;
    double inverse_inside(double linear) const;
    bool finish();

    Parameters m_parameters;
    std::shared_ptr<const std::vector<double>> m_table;  ///< Empty where the parameters hold.
    double m_scale = 1;
    double m_slope = 1;
};

}  // namespace hangtrue::colour
