// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/difference.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace hangtrue::colour {

namespace {

// CIE 15:2004, 8.2.1.1, with the exact fractions for the joint.
constexpr double epsilon = 216.0 / 24389.0;
constexpr double kappa = 24389.0 / 27.0;

double forward(double t) { return t > epsilon ? std::cbrt(t) : (kappa * t + 16) / 116; }

double backward(double f) {
    const double cube = f * f * f;
    return cube > epsilon ? cube : (116 * f - 16) / kappa;
}

double in_degrees(double radians) { return radians * 180 / std::numbers::pi; }

double in_radians(double degrees) { return degrees * std::numbers::pi / 180; }

double hue_degrees(double a, double b) {
    if (a == 0 && b == 0) {
        return 0;
    }
    const double hue = in_degrees(std::atan2(b, a));
    return hue < 0 ? hue + 360 : hue;
}

// C^7 / (C^7 + 25^7), the root of it: how far a chroma is from grey, 0 to 1.
double chroma_weight(double chroma) {
    const double seventh = std::pow(chroma, 7);
    return std::sqrt(seventh / (seventh + std::pow(25.0, 7)));
}

}  // namespace

Lab lab_from_xyz(Xyz colour, Xyz white) {
    const double fx = forward(colour.x / white.x);
    const double fy = forward(colour.y / white.y);
    const double fz = forward(colour.z / white.z);
    return {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}

Xyz xyz_from_lab(Lab colour, Xyz white) {
    const double fy = (colour.lightness + 16) / 116;
    return {white.x * backward(fy + colour.a / 500), white.y * backward(fy), white.z * backward(fy - colour.b / 200)};
}

double lightness_of(double luminance) { return 116 * forward(luminance) - 16; }

double luminance_of(double lightness) { return backward((lightness + 16) / 116); }

double delta_e_76(Lab first, Lab second) {
    return std::hypot(first.lightness - second.lightness, first.a - second.a, first.b - second.b);
}

double delta_e_94(Lab standard, Lab sample) {
    // CIE 116-1995, graphic arts: kL = 1, K1 = 0.045, K2 = 0.015.
    const double chroma = std::hypot(standard.a, standard.b);
    const double d_lightness = standard.lightness - sample.lightness;
    const double d_chroma = chroma - std::hypot(sample.a, sample.b);
    const double d_a = standard.a - sample.a;
    const double d_b = standard.b - sample.b;
    const double d_hue_squared = std::max(0.0, d_a * d_a + d_b * d_b - d_chroma * d_chroma);
    const double s_chroma = 1 + 0.045 * chroma;
    const double s_hue = 1 + 0.015 * chroma;
    return std::sqrt(d_lightness * d_lightness + d_chroma * d_chroma / (s_chroma * s_chroma) +
                     d_hue_squared / (s_hue * s_hue));
}

double delta_e_2000(Lab first, Lab second) {
    // Names and steps as in Sharma, Wu, Dalal (2005), equations 2 to 22.
    const double c_bar = 0.5 * (std::hypot(first.a, first.b) + std::hypot(second.a, second.b));
    const double g = 0.5 * (1 - chroma_weight(c_bar));
    const double a1 = (1 + g) * first.a;
    const double a2 = (1 + g) * second.a;
    const double c1 = std::hypot(a1, first.b);
    const double c2 = std::hypot(a2, second.b);
    const double h1 = hue_degrees(a1, first.b);
    const double h2 = hue_degrees(a2, second.b);
    const bool has_hues = c1 * c2 != 0;

    double dh = has_hues ? h2 - h1 : 0;
    dh = dh > 180 ? dh - 360 : dh < -180 ? dh + 360 : dh;
    const double d_lightness = second.lightness - first.lightness;
    const double d_chroma = c2 - c1;
    const double d_hue = 2 * std::sqrt(c1 * c2) * std::sin(in_radians(dh / 2));

    const double l_mean = 0.5 * (first.lightness + second.lightness);
    const double c_mean = 0.5 * (c1 + c2);
    const double sum = h1 + h2;
    double h_mean = sum;
    if (has_hues) {
        h_mean = std::abs(h1 - h2) <= 180 ? sum / 2 : sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2;
    }
    const double t = 1 - 0.17 * std::cos(in_radians(h_mean - 30)) + 0.24 * std::cos(in_radians(2 * h_mean)) +
                     0.32 * std::cos(in_radians(3 * h_mean + 6)) - 0.20 * std::cos(in_radians(4 * h_mean - 63));
    const double d_theta = 30 * std::exp(-std::pow((h_mean - 275) / 25, 2));
    const double from_middle = (l_mean - 50) * (l_mean - 50);
    const double s_lightness = 1 + 0.015 * from_middle / std::sqrt(20 + from_middle);
    const double s_chroma = 1 + 0.045 * c_mean;
    const double s_hue = 1 + 0.015 * c_mean * t;
    const double r_t = -std::sin(in_radians(2 * d_theta)) * 2 * chroma_weight(c_mean);

    const double l = d_lightness / s_lightness;
    const double c = d_chroma / s_chroma;
    const double h = d_hue / s_hue;
    return std::sqrt(std::max(0.0, l * l + c * c + h * h + r_t * c * h));
}

}  // namespace hangtrue::colour
