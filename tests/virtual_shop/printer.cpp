// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/printer.h"

#include <algorithm>
#include <cmath>

#include "engine/colour/matrix_model.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;
using colour::Xyz;

constexpr int nodes = 41;  // A side of the table.
constexpr Lab mid_grey{50, 0, 0};

const colour::Matrix3& channels_to_xyz() {
    static const colour::Profile srgb = colour::Profile::srgb();
    return srgb.matrix_model()->to_xyz;
}

// Light in the three channels, 1 for the paper.
std::array<double, 3> channels_of(const Lab& relative) {
    static const colour::Matrix3 to_channels = colour::inverse(channels_to_xyz());
    const Xyz xyz = colour::xyz_from_lab(relative);
    return colour::transformed(to_channels, {xyz.x, xyz.y, xyz.z});
}

Lab lab_of_channels(const std::array<double, 3>& channels) {
    const auto xyz = colour::transformed(channels_to_xyz(), channels);
    return colour::lab_from_xyz({xyz[0], xyz[1], xyz[2]});
}

// A channel's light as lightness, 0 to 1, and back: L* of a grey with that light.
double lightness_of(double light) { return colour::lightness_of(light) / 100; }
double light_of(double lightness) { return colour::luminance_of(lightness * 100); }

double log_odds(double share) { return std::log(share / (1 - share)); }
double share_of(double odds) { return 1 / (1 + std::exp(-odds)); }

Xyz moved(const Xyz& paper, const std::array<double, 3>& change) {
    const Lab lab = colour::lab_from_xyz(paper);
    return colour::xyz_from_lab({lab.lightness + change[0], lab.a + change[1], lab.b + change[2]});
}

}  // namespace

Bias bias_of_densities(double red, double green, double blue) {
    auto channels = channels_of(mid_grey);
    channels[0] *= std::pow(10, -red);
    channels[1] *= std::pow(10, -green);
    channels[2] *= std::pow(10, -blue);
    const Lab off = lab_of_channels(channels);
    Bias bias;
    bias.lightness = off.lightness - mid_grey.lightness;
    bias.tint_a = off.a;
    bias.tint_b = off.b;
    return bias;
}

Printer::Printer(const Shop& shop, With with)
    : m_shop(shop),
      m_condition(shop.condition),
      m_gamut(m_condition, shop.ink_limit),
      m_paper(moved(m_condition.paper(), shop.paper)) {
    m_has_bias = with == With::bias && shop.bias != Bias{};
    if (!m_has_bias) m_shop.bias = {};
    const Bias& bias = m_shop.bias;
    if (m_has_bias) m_paper = moved(m_paper, bias.paper);
    const auto black = channels_of(m_gamut.black()), grey = channels_of(mid_grey);
    const auto off = channels_of({mid_grey.lightness + bias.lightness, bias.tint_a, bias.tint_b});
    for (std::size_t i = 0; i < 3; ++i) {
        m_darkest[i] = lightness_of(std::max(black[i], 0.0));
        const double range = 1 - m_darkest[i];
        m_middle[i] = (lightness_of(grey[i]) - m_darkest[i]) / range;
        const double wanted = std::clamp((lightness_of(off[i]) - m_darkest[i]) / range, 0.01, 0.99);
        m_shift[i] = log_odds(wanted) - log_odds(m_middle[i]);
    }
}

double Printer::shifted(double lightness, std::size_t channel) const {
    const Bias& bias = m_shop.bias;
    const double range = 1 - m_darkest[channel];
    double t = (lightness - m_darkest[channel]) / range;
    if (t <= 0 || t >= 1) return lightness;
    const double middle = log_odds(m_middle[channel]);
    t = share_of(middle + (1 + bias.contrast) * (log_odds(t) - middle) + m_shift[channel]);
    if (bias.kink_height != 0) {
        t += bias.kink_height * std::max(0.0, 1 - std::abs(t - bias.kink_at) / bias.kink_width);
    }
    if (t < bias.crushed_below) t = bias.crushed_below * std::pow(t / bias.crushed_below, 1.6);
    return m_darkest[channel] + range * std::clamp(t, 0.0, 1.0);
}

Lab Printer::biased(const Lab& relative) const {
    if (!m_has_bias) return relative;
    auto channels = channels_of(relative);
    for (std::size_t i = 0; i < 3; ++i) channels[i] = light_of(shifted(lightness_of(channels[i]), i));
    return m_gamut.nearest(lab_of_channels(channels));
}

Xyz Printer::printed(const Lab& wanted) const {
    const Lab relative = m_shop.intent == Intent::perceptual ? m_gamut.compressed(wanted) : m_gamut.nearest(wanted);
    return absolute_of(biased(relative), m_paper);
}

ColourTable::ColourTable(const Printer& printer, const colour::Profile& profile) {
    std::vector<float> rgb;
    for (int r = 0; r < nodes; ++r) {
        for (int g = 0; g < nodes; ++g) {
            for (int b = 0; b < nodes; ++b) {
                for (const int value : {r, g, b}) rgb.push_back(static_cast<float>(value) / (nodes - 1));
            }
        }
    }
    std::vector<Lab> labs(rgb.size() / 3);
    colour::LabReader(profile).lab(rgb, labs);
    for (const Lab& lab : labs) {
        const Xyz xyz = printer.printed(lab);
        m_nodes.push_back({static_cast<float>(std::cbrt(xyz.x)), static_cast<float>(std::cbrt(xyz.y)),
                           static_cast<float>(std::cbrt(xyz.z)), 0});
    }
}

// Tetrahedral: greys lie on an edge that all six share, so a grey scale takes nothing from its colourful neighbours.
std::array<float, 3> ColourTable::cube_roots(float red, float green, float blue) const {
    const float at[3] = {std::clamp(red, 0.0f, 1.0f) * (nodes - 1), std::clamp(green, 0.0f, 1.0f) * (nodes - 1),
                         std::clamp(blue, 0.0f, 1.0f) * (nodes - 1)};
    constexpr std::size_t strides[3] = {nodes * nodes, nodes, 1};
    std::size_t corner = 0;
    float share[3];
    for (int i = 0; i < 3; ++i) {
        const int below = std::min(static_cast<int>(at[i]), nodes - 2);
        share[i] = at[i] - static_cast<float>(below);
        corner += static_cast<std::size_t>(below) * strides[i];
    }
    int order[3] = {0, 1, 2};
    if (share[order[0]] < share[order[1]]) std::swap(order[0], order[1]);
    if (share[order[1]] < share[order[2]]) std::swap(order[1], order[2]);
    if (share[order[0]] < share[order[1]]) std::swap(order[0], order[1]);
    const auto* node = &m_nodes[corner];
    float sum[3];
    float weight = 1 - share[order[0]];
    for (std::size_t i = 0; i < 3; ++i) sum[i] = weight * (*node)[i];
    for (int step = 0; step < 3; ++step) {
        node += strides[order[step]];
        weight = share[order[step]] - (step < 2 ? share[order[step + 1]] : 0.0f);
        for (std::size_t i = 0; i < 3; ++i) sum[i] += weight * (*node)[i];
    }
    return {sum[0], sum[1], sum[2]};
}

Xyz ColourTable::printed(const std::array<double, 3>& rgb) const {
    const auto roots = cube_roots(static_cast<float>(rgb[0]), static_cast<float>(rgb[1]), static_cast<float>(rgb[2]));
    const auto cube = [](float root) {
        return static_cast<double>(root) * static_cast<double>(root) * static_cast<double>(root);
    };
    return {cube(roots[0]), cube(roots[1]), cube(roots[2])};
}

}  // namespace hangtrue::virtual_shop
