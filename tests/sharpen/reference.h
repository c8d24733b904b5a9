// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Sharpening written the slow, obvious way, in double precision: what `sharpen::apply` is held against.

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "engine/sharpen/filter.h"
#include "engine/sharpen/taps.h"

namespace hangtrue::test {

/// Three planes without gaps between rows.
struct Planes {
    int width = 0;
    int height = 0;
    std::array<std::vector<float>, 3> samples;

    Planes(int w, int h) : width(w), height(h) {
        for (auto& plane : samples) plane.resize(static_cast<std::size_t>(w) * static_cast<std::size_t>(h));
    }
    float& at(std::size_t channel, int x, int y) { return samples[channel][index(x, y)]; }
    float at(std::size_t channel, int x, int y) const { return samples[channel][index(x, y)]; }
    std::size_t index(int x, int y) const {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x);
    }
    sharpen::Block block() {
        return {
            {samples[0].data(), samples[1].data(), samples[2].data()}, width, height, static_cast<std::size_t>(width)};
    }
};

inline void sharpen_in_place(const sharpen::Filter& filter, const std::array<float, 3>& weights, Planes& planes) {
    std::vector<float> scratch(sharpen::scratch_floats(filter, planes.width, planes.height));
    sharpen::apply(filter, weights, planes.block(), scratch);
}

class Reference {
  public:
    Reference(const sharpen::Filter& filter, const std::array<float, 3>& weights, const Planes& planes)
        : m_filter(filter), m_width(planes.width) {
        for (std::size_t i = 0; i < planes.samples[0].size(); ++i) {
            double sum = 0;
            for (std::size_t c = 0; c < 3; ++c)
                sum += static_cast<double>(weights[c]) * static_cast<double>(planes.samples[c][i]);
            m_luminance.push_back(sum);
        }
        for (const sharpen::Term& term : filter.terms) m_taps.push_back(sharpen::gaussian_taps(term.sigma_px));
        double widest = 0;
        for (const sharpen::Term& term : filter.terms) widest = std::max(widest, term.sigma_px);
        m_reach = std::clamp(static_cast<int>(std::ceil(widest)), 1, 3);
    }

    /// What is added to each channel at (x, y), which must lie inside the halo.
    double change(int x, int y) const {
        const double here = luminance(x, y);
        double detail = 0;
        for (std::size_t i = 0; i < m_taps.size(); ++i)
            detail += m_filter.terms[i].gain * (here - smoothed(m_taps[i], x, y));
        const double square = detail * detail / (m_filter.threshold * m_filter.threshold + 1e-12);
        const double fourth = std::pow(std::min(square, 1e6), 4);
        detail *= fourth / (1 + fourth);
        detail *= smooth((1 - here) / m_filter.highlight_fade) * smooth(here / m_filter.shadow_fade);

        double least = here;
        double greatest = here;
        for (int v = -m_reach; v <= m_reach; ++v) {
            for (int u = -m_reach; u <= m_reach; ++u) {
                least = std::min(least, luminance(x + u, y + v));
                greatest = std::max(greatest, luminance(x + u, y + v));
            }
        }
        const double above = m_filter.overshoot_limit * smooth((1 - greatest) / m_filter.highlight_fade);
        const double below = m_filter.overshoot_limit * smooth(least / m_filter.shadow_fade);
        double result = greatest + bent(here + detail - greatest, above);
        result = least - bent(least - result, below);
        return result - here;
    }

  private:
    double luminance(int x, int y) const {
        return m_luminance[static_cast<std::size_t>(y) * static_cast<std::size_t>(m_width) +
                           static_cast<std::size_t>(x)];
    }
    double smoothed(const std::vector<float>& taps, int x, int y) const {
        const int radius = static_cast<int>(taps.size()) - 1;
        double sum = 0;
        for (int v = -radius; v <= radius; ++v) {
            for (int u = -radius; u <= radius; ++u) {
                sum += static_cast<double>(taps[static_cast<std::size_t>(std::abs(u))]) *
                       static_cast<double>(taps[static_cast<std::size_t>(std::abs(v))]) * luminance(x + u, y + v);
            }
        }
        return sum;
    }
    static double smooth(double t) {
        const double clamped = std::clamp(t, 0.0, 1.0);
        return clamped * clamped * (3 - 2 * clamped);
    }

    // As it is up to half of the room, from there on a parabola, from the room's end on a constant.
    double bent(double excess, double room) const {
        const double above = std::clamp(excess - room / 2, 0.0, room);
        return std::min(excess, room / 2) + above - above * above / (2 * m_filter.overshoot_limit);
    }

    sharpen::Filter m_filter;
    int m_width;
    int m_reach = 1;
    std::vector<double> m_luminance;
    std::vector<std::vector<float>> m_taps;
};

}  // namespace hangtrue::test
