// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the shop makes of a colour: conversion to its print condition, its bias, its paper. Thread-safe once built.

#include <array>
#include <vector>

#include "engine/colour/profile.h"
#include "tests/virtual_shop/print_condition.h"
#include "tests/virtual_shop/shop.h"

namespace hangtrue::virtual_shop {

/// The bias of a printer whose red, green and blue densities are off by these at the mid grey (L* 50 on the paper;
/// the channels are sRGB's, with the paper for white): as a shift of L*, a* and b*.
Bias bias_of_densities(double red, double green, double blue);

/// The bias: each channel of light, on a scale of lightness from the darkest print (0) to the paper (1), is shifted and
/// stretched in its logarithmic odds. That leaves both ends as they are and never turns back; kink and shadows follow.
class Printer {
  public:
    enum class With { bias, no_bias };
    Printer(const Shop& shop, With with);

    /// `wanted`: Lab against the file's white, as a profile has it. Absolute XYZ; the perfect diffuser has Y = 1.
    colour::Xyz printed(const colour::Lab& wanted) const;
    colour::Xyz paper() const { return m_paper; }
    /// The bias alone: from what should be printed to what is, both against the paper's white, in the gamut.
    colour::Lab biased(const colour::Lab& relative) const;
    const Gamut& gamut() const { return m_gamut; }

  private:
    double shifted(double lightness, std::size_t channel) const;

    Shop m_shop;
    PrintCondition m_condition;
    Gamut m_gamut;
    colour::Xyz m_paper;
    bool m_has_bias = false;
    std::array<double, 3> m_darkest{};  ///< Each channel's lightness, 0 to 1, in the darkest print.
    std::array<double, 3> m_middle{};   ///< Where the mid grey lies between it and the paper.
    std::array<double, 3> m_shift{};    ///< Of the logarithmic odds.
};

/// A dense table from a profile's R, G, B to what is printed of them, so that a sheet is printed in a second.
class ColourTable {
  public:
    ColourTable(const Printer& printer, const colour::Profile& profile);
    /// `rgb` 0 to 1, encoded. Cube roots of absolute X, Y, Z.
    std::array<float, 3> cube_roots(float red, float green, float blue) const;
    colour::Xyz printed(const std::array<double, 3>& rgb) const;

  private:
    std::vector<std::array<float, 4>> m_nodes;
};

}  // namespace hangtrue::virtual_shop
