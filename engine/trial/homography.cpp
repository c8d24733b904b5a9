// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/homography.h"

#include <Eigen/Dense>

#include <cassert>
#include <cmath>
#include <numbers>

namespace hangtrue::trial {

namespace {

using Matrix = Eigen::Matrix<double, 3, 3, Eigen::RowMajor>;

// About the middle, at a mean distance of the square root of two.
Matrix centring(std::span<const Point> points) {
    const auto count = static_cast<double>(points.size());
    Point middle;
    for (const Point point : points) {
        middle.x += point.x / count;
        middle.y += point.y / count;
    }
    double distance = 0;
    for (const Point point : points) distance += std::hypot(point.x - middle.x, point.y - middle.y) / count;
    const double scale = std::numbers::sqrt2 / std::max(distance, 1e-12);
    Matrix result;
    result << scale, 0, -scale * middle.x, 0, scale, -scale * middle.y, 0, 0, 1;
    return result;
}

}  // namespace

Point Homography::operator()(Point from) const {
    const auto& h = m_values;
    const double w = h[6] * from.x + h[7] * from.y + h[8];
    return {(h[0] * from.x + h[1] * from.y + h[2]) / w, (h[3] * from.x + h[4] * from.y + h[5]) / w};
}

std::array<double, 4> Homography::slopes(Point from) const {
    const auto& h = m_values;
    const double w = h[6] * from.x + h[7] * from.y + h[8];
    const Point to = (*this)(from);
    return {(h[0] - to.x * h[6]) / w, (h[1] - to.x * h[7]) / w, (h[3] - to.y * h[6]) / w, (h[4] - to.y * h[7]) / w};
}

Homography Homography::inverse() const {
    const Matrix inverse = Eigen::Map<const Matrix>(m_values.data()).inverse();
    std::array<double, 9> values{};
    Eigen::Map<Matrix>(values.data()) = inverse;
    return Homography(values);
}

std::optional<Homography> homography_between(std::span<const Point> from, std::span<const Point> to) {
    assert(from.size() == to.size());
    if (from.size() < 4) return std::nullopt;
    const Matrix from_centred = centring(from);
    const Matrix to_centred = centring(to);
    Eigen::Matrix<double, Eigen::Dynamic, 9> equations(2 * static_cast<Eigen::Index>(from.size()), 9);
    for (std::size_t i = 0; i < from.size(); ++i) {
        const Eigen::Vector3d a = from_centred * Eigen::Vector3d(from[i].x, from[i].y, 1);
        const Eigen::Vector3d b = to_centred * Eigen::Vector3d(to[i].x, to[i].y, 1);
        const auto row = 2 * static_cast<Eigen::Index>(i);
        equations.row(row) << a.x(), a.y(), 1, 0, 0, 0, -b.x() * a.x(), -b.x() * a.y(), -b.x();
        equations.row(row + 1) << 0, 0, 0, a.x(), a.y(), 1, -b.y() * a.x(), -b.y() * a.y(), -b.y();
    }
    const Eigen::Matrix<double, 9, 9> normal = equations.transpose() * equations;
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix<double, 9, 9>> solver(normal);
    // Points on a line leave more than one answer.
    if (solver.info() != Eigen::Success || solver.eigenvalues()[1] < 1e-9) return std::nullopt;
    const Eigen::Matrix<double, 9, 1> least = solver.eigenvectors().col(0);
    const Matrix result = to_centred.inverse() * Eigen::Map<const Matrix>(least.data()) * from_centred;
    if (std::abs(result(2, 2)) < 1e-12 * result.norm()) return std::nullopt;
    std::array<double, 9> values{};
    Eigen::Map<Matrix>(values.data()) = result / result(2, 2);
    return Homography(values);
}

}  // namespace hangtrue::trial
