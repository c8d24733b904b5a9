// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/matrix_model.h"

namespace hangtrue::colour {

Matrix3 product(const Matrix3& left, const Matrix3& right) {
    Matrix3 result{};
    for (std::size_t row = 0; row < 3; ++row) {
        for (std::size_t column = 0; column < 3; ++column) {
            for (std::size_t k = 0; k < 3; ++k) {
                result[row][column] += left[row][k] * right[k][column];
            }
        }
    }
    return result;
}

std::array<double, 3> transformed(const Matrix3& matrix, const std::array<double, 3>& vector) {
    std::array<double, 3> result{};
    for (std::size_t row = 0; row < 3; ++row) {
        result[row] = matrix[row][0] * vector[0] + matrix[row][1] * vector[1] + matrix[row][2] * vector[2];
    }
    return result;
}

double determinant(const Matrix3& m) {
    return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
           m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
}

Matrix3 inverse(const Matrix3& m) {
    const double scale = 1 / determinant(m);
    Matrix3 result{};
    for (std::size_t row = 0; row < 3; ++row) {
        for (std::size_t column = 0; column < 3; ++column) {
            // The cofactor of (column, row), its sign by cyclic indices.
            const std::size_t a = (column + 1) % 3;
            const std::size_t b = (column + 2) % 3;
            const std::size_t c = (row + 1) % 3;
            const std::size_t d = (row + 2) % 3;
            result[row][column] = scale * (m[a][c] * m[b][d] - m[a][d] * m[b][c]);
        }
    }
    return result;
}

}  // namespace hangtrue::colour
