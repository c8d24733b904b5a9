// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/encoding.h"

#include <algorithm>

#include "engine/colour/difference.h"
#include "engine/colour/tone_curve.h"

namespace hangtrue::trial {

Encoding::Encoding(const std::optional<colour::Profile>& profile, int bits)
    : m_light(std::size_t{1} << static_cast<unsigned>(bits)) {
    const auto last = static_cast<double>(top());
    if (profile) {
        std::vector<float> greys;
        greys.reserve(3 * m_light.size());
        for (std::size_t code = 0; code < m_light.size(); ++code) {
            greys.insert(greys.end(), 3, static_cast<float>(static_cast<double>(code) / last));
        }
        std::vector<colour::Lab> labs(m_light.size());
        colour::LabReader(*profile).lab(greys, labs);
        for (std::size_t code = 0; code < m_light.size(); ++code) {
            m_light[code] = static_cast<float>(colour::luminance_of(labs[code].lightness));
        }
    } else {
        const colour::ToneCurve curve = colour::ToneCurve::srgb();
        for (std::size_t code = 0; code < m_light.size(); ++code) {
            m_light[code] = static_cast<float>(curve.to_linear(static_cast<double>(code) / last));
        }
    }
    // Tables waver; what goes back must have one answer.
    for (std::size_t code = 1; code < m_light.size(); ++code) {
        m_light[code] = std::max(m_light[code], m_light[code - 1] + 1e-7f);
    }
}

double Encoding::encoded(double light) const {
    const auto last = static_cast<double>(top());
    const auto above = std::ranges::upper_bound(m_light, static_cast<float>(light));
    if (above == m_light.begin()) return 0;
    if (above == m_light.end()) return 1;
    const auto low = static_cast<double>(*(above - 1));
    const double share = std::clamp((light - low) / (static_cast<double>(*above) - low), 0.0, 1.0);
    return (static_cast<double>(above - m_light.begin() - 1) + share) / last;
}

}  // namespace hangtrue::trial
