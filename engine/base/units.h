// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Lengths, resolutions, pixel grids: units as types, so that millimetres never meet pixels unasked.
///
/// Pure values and arithmetic; every function is thread-safe.

#include <compare>
#include <cstdint>

namespace hangtrue::base {

/// One inch is 25.4 mm exactly (international yard and pound agreement, 1959).
inline constexpr double millimetres_per_inch = 25.4;

/// A length on the print or in the room.
struct Millimetres {
    double value = 0;
    friend constexpr auto operator<=>(Millimetres, Millimetres) = default;
    friend constexpr Millimetres operator+(Millimetres a, Millimetres b) { return {a.value + b.value}; }
    friend constexpr Millimetres operator-(Millimetres a, Millimetres b) { return {a.value - b.value}; }
    friend constexpr Millimetres operator*(Millimetres a, double k) { return {a.value * k}; }
    friend constexpr Millimetres operator*(double k, Millimetres a) { return {a.value * k}; }
    friend constexpr Millimetres operator/(Millimetres a, double k) { return {a.value / k}; }
    friend constexpr double operator/(Millimetres a, Millimetres b) { return a.value / b.value; }
};

constexpr Millimetres inches(double value) { return {value * millimetres_per_inch}; }
constexpr double in_inches(Millimetres length) { return length.value / millimetres_per_inch; }

/// Pixels per inch of the file at print size.
struct PixelsPerInch {
    double value = 0;
    friend constexpr auto operator<=>(PixelsPerInch, PixelsPerInch) = default;
};

/// The (real) number of pixels that cover `length` at `ppi`.
constexpr double pixels(Millimetres length, PixelsPerInch ppi) { return in_inches(length) * ppi.value; }
constexpr Millimetres length_of(double pixel_count, PixelsPerInch ppi) { return inches(pixel_count / ppi.value); }

/// Spatial frequency at the eye.
struct CyclesPerDegree {
    double value = 0;
    friend constexpr auto operator<=>(CyclesPerDegree, CyclesPerDegree) = default;
};

/// Width and height of something flat, in millimetres.
struct SizeMm {
    Millimetres width;
    Millimetres height;
    friend constexpr bool operator==(SizeMm, SizeMm) = default;
};

/// One value for each side.
template <typename T>
struct Edges {
    T top{};
    T right{};
    T bottom{};
    T left{};
    friend constexpr bool operator==(const Edges&, const Edges&) = default;
    static constexpr Edges all(T value) { return {value, value, value, value}; }
};

struct PixelSize {
    int width = 0;
    int height = 0;
    friend constexpr bool operator==(PixelSize, PixelSize) = default;
    constexpr std::int64_t count() const { return std::int64_t{width} * height; }
};

/// Whole pixels: left, top, width, height; x grows to the right, y downwards.
struct PixelRect {
    int x = 0;
    int y = 0;
    int width = 0;
    int height = 0;
    friend constexpr bool operator==(PixelRect, PixelRect) = default;
    constexpr int right() const { return x + width; }
    constexpr int bottom() const { return y + height; }
    constexpr bool empty() const { return width <= 0 || height <= 0; }
};

/// The part common to both; empty (width or height 0) where they do not meet.
constexpr PixelRect intersection(PixelRect a, PixelRect b) {
    const int x = a.x > b.x ? a.x : b.x;
    const int y = a.y > b.y ? a.y : b.y;
    const int right = a.right() < b.right() ? a.right() : b.right();
    const int bottom = a.bottom() < b.bottom() ? a.bottom() : b.bottom();
    return {x, y, right > x ? right - x : 0, bottom > y ? bottom - y : 0};
}

/// A real-valued part of a picture, in pixels of the upright picture; pixel (0, 0) covers [0, 1) x [0, 1).
struct RealRect {
    double x = 0;
    double y = 0;
    double width = 0;
    double height = 0;
    friend constexpr bool operator==(RealRect, RealRect) = default;
};

}  // namespace hangtrue::base
