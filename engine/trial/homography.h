// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A flat sheet seen in perspective. Pure values, thread-safe.

#include <array>
#include <optional>
#include <span>

namespace hangtrue::trial {

/// Real-valued; pixel (0, 0) covers [0, 1) x [0, 1).
struct Point {
    double x = 0;
    double y = 0;
};

class Homography {
  public:
    /// Row by row.
    explicit Homography(const std::array<double, 9>& values) : m_values(values) {}

    Point operator()(Point from) const;
    /// Of the way at `from`: {dx/dx, dx/dy, dy/dx, dy/dy}.
    std::array<double, 4> slopes(Point from) const;
    Homography inverse() const;

  private:
    std::array<double, 9> m_values;
};

/// The one that brings `from` nearest to `to`: least squares of the direct linear transform between points centred and
/// scaled (Hartley, IEEE Trans. PAMI 19:580, 1997). nullopt: fewer than four points, or they lie on a line.
std::optional<Homography> homography_between(std::span<const Point> from, std::span<const Point> to);

}  // namespace hangtrue::trial
