// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/perceived.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <cassert>
#include <cmath>
#include <numbers>

namespace hangtrue::trial {

namespace {

/// The square of dE00 about a colour as a quadratic form, by differences of one unit.
Eigen::Matrix3d tensor_at(colour::Lab lab) {
    const auto squared = [&](double lightness, double a, double b) {
        const double there = colour::delta_e_2000(lab, {lab.lightness + lightness, lab.a + a, lab.b + b});
        const double back = colour::delta_e_2000(lab, {lab.lightness - lightness, lab.a - a, lab.b - b});
        return (there * there + back * back) / 2;
    };
    Eigen::Matrix3d tensor;
    tensor(0, 0) = squared(1, 0, 0);
    tensor(1, 1) = squared(0, 1, 0);
    tensor(2, 2) = squared(0, 0, 1);
    const auto mixed = [&](int i, int j, double both) {
        tensor(i, j) = tensor(j, i) = (both - tensor(i, i) - tensor(j, j)) / 2;
    };
    mixed(0, 1, squared(1, 1, 0));
    mixed(0, 2, squared(1, 0, 1));
    mixed(1, 2, squared(0, 1, 1));
    return tensor;
}

std::vector<colour::Lab> made_everyday_colours() {
    std::vector<colour::Lab> colours;
    for (const double lightness : {20.0, 35.0, 50.0, 65.0, 80.0}) colours.push_back({lightness, 0, 0});
    constexpr int hues = 6;
    for (int i = 0; i < hues; ++i) {
        const double hue = 2 * std::numbers::pi * i / hues;
        for (const double lightness : {40.0, 60.0}) {
            colours.push_back({lightness, 25 * std::cos(hue), 25 * std::sin(hue)});
        }
    }
    return colours;
}

}  // namespace

Perceived::Perceived(std::span<const colour::Lab> colours) {
    for (const colour::Lab& lab : colours) {
        // A little of the unit keeps the root of a form that differences made not quite positive.
        const Eigen::Matrix3d tensor = tensor_at(lab) + 1e-6 * Eigen::Matrix3d::Identity();
        const Eigen::Matrix3d root = tensor.llt().matrixU();
        Colour& colour = m_colours.emplace_back();
        colour.lab = lab;
        for (int row = 0; row < 3; ++row) {
            for (int column = 0; column < 3; ++column) {
                colour.metric[static_cast<std::size_t>(3 * row + column)] = root(row, column);
            }
        }
    }
}

Looks Perceived::looks(const colour::Shift& shift) const {
    return looks(colour::Corrector(colour::correction_of(shift)));
}

Looks Perceived::looks(const colour::Corrector& corrector) const {
    Looks looks;
    looks.reserve(3 * m_colours.size());
    for (const Colour& colour : m_colours) {
        const colour::Lab lab = corrector.corrected(colour.lab);
        const auto& m = colour.metric;
        for (std::size_t row = 0; row < 9; row += 3) {
            looks.push_back(static_cast<float>(m[row] * lab.lightness + m[row + 1] * lab.a + m[row + 2] * lab.b));
        }
    }
    return looks;
}

double Perceived::difference(const Looks& first, const Looks& second) {
    assert(first.size() == second.size() && !first.empty());
    double sum = 0;
    for (std::size_t i = 0; i < first.size(); i += 3) {
        const float x = first[i] - second[i];
        const float y = first[i + 1] - second[i + 1];
        const float z = first[i + 2] - second[i + 2];
        sum += std::sqrt(static_cast<double>(x * x + y * y + z * z));
    }
    return sum / (static_cast<double>(first.size()) / 3);
}

std::span<const colour::Lab> everyday_colours() {
    static const std::vector<colour::Lab> colours = made_everyday_colours();
    return colours;
}

}  // namespace hangtrue::trial
