// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a matrix RGB profile says: three curves, and the way from linear RGB to the connection space.

#include <array>

#include "engine/colour/tone_curve.h"

namespace hangtrue::colour {

using Matrix3 = std::array<std::array<double, 3>, 3>;

Matrix3 product(const Matrix3& left, const Matrix3& right);
/// Nothing sensible for a singular matrix: see determinant().
Matrix3 inverse(const Matrix3& matrix);
double determinant(const Matrix3& matrix);
std::array<double, 3> transformed(const Matrix3& matrix, const std::array<double, 3>& vector);

struct MatrixModel {
    Matrix3 to_xyz{};                     ///< Linear R, G, B to X, Y, Z of the PCS (D50, white Y = 1).
    std::array<ToneCurve, 3> curves;      ///< Of R, G and B.
    std::array<double, 3> media_white{};  ///< XYZ, for absolute colorimetry.
};

}  // namespace hangtrue::colour
