// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The printed sheet as light falls on it: what a device sees at any place. Thread-safe once built.

#include <array>
#include <vector>

#include "tests/virtual_shop/print_file.h"

namespace hangtrue::virtual_shop {

class Paper {
  public:
    /// `device_sigma_mm`: the device's own blur, a Gaussian on the paper, aperture included. Print and device are two
    /// Gaussians in a row, so one with the sum of their variances.
    Paper(const Print& print, double device_sigma_mm);

    double width_mm() const { return m_width_mm; }
    double height_mm() const { return m_height_mm; }
    /// Absolute X, Y, Z at a place on the sheet, in mm from its upper left corner; beyond, the border goes on.
    std::array<float, 3> at(double x_mm, double y_mm) const;

  private:
    static constexpr int phases = 64;  // Of a place within a pixel.
    float grain_at(double x_mm, double y_mm) const;

    const Print& m_print;
    double m_width_mm;
    double m_height_mm;
    std::vector<float> m_light;  ///< Of the print's codes.
    int m_reach = 0;             ///< Pixels to either side that count.
    std::vector<float> m_weights;
    std::vector<float> m_grain;  ///< A tile of it, mean 0, standard deviation 1.
};

}  // namespace hangtrue::virtual_shop
