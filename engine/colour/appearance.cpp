// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/appearance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "engine/colour/matrix_model.h"

namespace hangtrue::colour {

namespace {

constexpr Matrix3 cat16{
    {{0.401288, 0.650173, -0.051461}, {-0.250268, 1.204414, 0.045854}, {-0.002079, 0.048952, 0.953127}}};
constexpr Matrix3 cat02{{{0.7328, 0.4296, -0.1624}, {-0.7036, 1.6975, 0.0061}, {0.0030, 0.0136, 0.9834}}};
constexpr Matrix3 hunt_pointer_estevez{
    {{0.38971, 0.68898, -0.07868}, {-0.22981, 1.18340, 0.04641}, {0.00000, 0.00000, 1.00000}}};

const Matrix3& sharpening(AppearanceModel model) { return model == AppearanceModel::cam16 ? cat16 : cat02; }

const Matrix3& unsharpening(AppearanceModel model) {
    static const Matrix3 of_cat16 = inverse(cat16);
    static const Matrix3 of_cat02 = inverse(cat02);
    return model == AppearanceModel::cam16 ? of_cat16 : of_cat02;
}

/// From adapted sharpened cones to those on which light is compressed (CIECAM02 alone; CAM16 uses the same).
const Matrix3& to_cones() {
    static const Matrix3 matrix = product(hunt_pointer_estevez, inverse(cat02));
    return matrix;
}
const Matrix3& from_cones() {
    static const Matrix3 matrix = inverse(to_cones());
    return matrix;
}

double radians(double degrees) { return degrees * std::numbers::pi / 180; }

double eccentricity(double hue) { return (std::cos(radians(hue) + 2) + 3.8) / 4; }

double compression(double light, double fl) {
    const double power = std::pow(fl * std::abs(light) / 100, 0.42);
    return std::copysign(400 * power / (27.13 + power), light) + 0.1;
}

double expansion(double response, double fl) {
    const double size = std::abs(response - 0.1);
    // A response of 400 and more belongs to no finite light.
    const double inside = std::min(size, 399.999);
    return std::copysign(100 / fl * std::pow(27.13 * inside / (400 - inside), 1 / 0.42), response - 0.1);
}

double quadrature(double hue) {
    struct Unique {
        double hue;
        double eccentricity;
    };
    constexpr std::array<Unique, 5> unique{{{20.14, 0.8}, {90, 0.7}, {164.25, 1.0}, {237.53, 1.2}, {380.14, 0.8}}};
    const double at = hue < unique[0].hue ? hue + 360 : hue;
    std::size_t i = 0;
    while (i + 2 < unique.size() && at >= unique[i + 1].hue) ++i;
    const double before = (at - unique[i].hue) / unique[i].eccentricity;
    const double after = (unique[i + 1].hue - at) / unique[i + 1].eccentricity;
    return 100 * (static_cast<double>(i) + before / (before + after));
}

}  // namespace

Surround surround_between(double ratio) {
    constexpr double dim_at = 0.1;
    constexpr double average_at = 0.2;
    const auto mix = [](const Surround& from, const Surround& to, double share) {
        return Surround{from.f + share * (to.f - from.f), from.c + share * (to.c - from.c),
                        from.nc + share * (to.nc - from.nc)};
    };
    const double held = std::clamp(ratio, 0.0, average_at);
    return held < dim_at ? mix(dark_surround, dim_surround, held / dim_at)
                         : mix(dim_surround, average_surround, (held - dim_at) / (average_at - dim_at));
}

AppearanceUnder::AppearanceUnder(AppearanceModel model, const ViewingConditions& conditions)
    : m_model(model), m_surround(conditions.surround) {
    const double five_la = 5 * conditions.adapting_candelas;
    const double k = 1 / (five_la + 1);
    const double k4 = k * k * k * k;
    m_fl = 0.2 * k4 * five_la + 0.1 * (1 - k4) * (1 - k4) * std::cbrt(five_la);
    m_n = conditions.background / conditions.white.y;
    m_z = 1.48 + std::sqrt(m_n);
    m_nbb = 0.725 * std::pow(m_n, -0.2);
    const double adapted = m_surround.f * (1 - std::exp((-conditions.adapting_candelas - 42) / 92) / 3.6);
    m_d = conditions.discounts_light ? 1 : std::clamp(adapted, 0.0, 1.0);
    const Xyz& white = conditions.white;
    const auto sharp = transformed(sharpening(model), {white.x, white.y, white.z});
    m_gain = {m_d * white.y / sharp[0] + 1 - m_d, m_d * white.y / sharp[1] + 1 - m_d,
              m_d * white.y / sharp[2] + 1 - m_d};
    m_white_achromatic = achromatic(compressed(white));
}

AppearanceUnder::Cones AppearanceUnder::compressed(Xyz colour) const {
    auto cones = transformed(sharpening(m_model), {colour.x, colour.y, colour.z});
    cones = {cones[0] * m_gain.r, cones[1] * m_gain.g, cones[2] * m_gain.b};
    if (m_model == AppearanceModel::ciecam02) cones = transformed(to_cones(), cones);
    return {compression(cones[0], m_fl), compression(cones[1], m_fl), compression(cones[2], m_fl)};
}

double AppearanceUnder::achromatic(const Cones& cones) const {
    return (2 * cones.r + cones.g + cones.b / 20 - 0.305) * m_nbb;
}

/// C of t^0.9.
double AppearanceUnder::chroma_scale(double lightness) const {
    return std::sqrt(lightness / 100) * std::pow(1.64 - std::pow(0.29, m_n), 0.73);
}

Appearance AppearanceUnder::appearance(Xyz colour) const {
    const Cones cones = compressed(colour);
    const double a = cones.r - 12 * cones.g / 11 + cones.b / 11;
    const double b = (cones.r + cones.g - 2 * cones.b) / 9;
    Appearance seen;
    seen.hue = std::atan2(b, a) * 180 / std::numbers::pi;
    if (seen.hue < 0) seen.hue += 360;
    const double share = std::max(0.0, achromatic(cones) / m_white_achromatic);
    seen.lightness = 100 * std::pow(share, m_surround.c * m_z);
    const double t = 50000.0 / 13 * m_surround.nc * m_nbb * eccentricity(seen.hue) * std::hypot(a, b) /
                     (cones.r + cones.g + 1.05 * cones.b);
    seen.chroma = std::pow(std::max(0.0, t), 0.9) * chroma_scale(seen.lightness);
    const double fourth_root = std::pow(m_fl, 0.25);
    seen.brightness = 4 / m_surround.c * std::sqrt(seen.lightness / 100) * (m_white_achromatic + 4) * fourth_root;
    seen.colourfulness = seen.chroma * fourth_root;
    seen.saturation = seen.brightness > 0 ? 100 * std::sqrt(seen.colourfulness / seen.brightness) : 0;
    seen.hue_quadrature = quadrature(seen.hue);
    return seen;
}

Xyz AppearanceUnder::colour(double lightness, double chroma, double hue) const {
    if (!(lightness > 0)) return {0, 0, 0};
    const double t = std::pow(std::max(0.0, chroma) / chroma_scale(lightness), 1 / 0.9);
    const double p2 = m_white_achromatic * std::pow(lightness / 100, 1 / (m_surround.c * m_z)) / m_nbb + 0.305;
    double a = 0;
    double b = 0;
    if (t > 0) {
        // With a = u cos h, b = u sin h, the cones are linear in u, and so is t's equation.
        const double cosine = std::cos(radians(hue));
        const double sine = std::sin(radians(hue));
        const double p1 = 50000.0 / 13 * m_surround.nc * m_nbb * eccentricity(hue) / t;
        // r + g + 1.05 b of cones that have the achromatic sum p2: (460 p2 (2 + 1.05) - u (671 cos + 6588 sin)) / 1403
        const double u = 460 * 3.05 * p2 / (1403 * p1 + 671 * cosine + 6588 * sine);
        a = u * cosine;
        b = u * sine;
    }
    std::array<double, 3> cones{expansion((460 * p2 + 451 * a + 288 * b) / 1403, m_fl),
                                expansion((460 * p2 - 891 * a - 261 * b) / 1403, m_fl),
                                expansion((460 * p2 - 220 * a - 6300 * b) / 1403, m_fl)};
    if (m_model == AppearanceModel::ciecam02) cones = transformed(from_cones(), cones);
    cones = {cones[0] / m_gain.r, cones[1] / m_gain.g, cones[2] / m_gain.b};
    const auto [x, y, z] = transformed(unsharpening(m_model), cones);
    return {x, y, z};
}

Xyz AppearanceUnder::colour_by_colourfulness(double lightness, double colourfulness, double hue) const {
    return colour(lightness, colourfulness / std::pow(m_fl, 0.25), hue);
}

}  // namespace hangtrue::colour
