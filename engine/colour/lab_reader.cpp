// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cassert>

#include "engine/base/error.h"
#include "engine/colour/difference.h"
#include "engine/colour/lcms.h"

namespace hangtrue::colour {

struct LabReader::State {
    ExactTransform to_lab;
};

LabReader::LabReader(const Profile& profile) {
    if (profile.device_space() != DeviceSpace::rgb) {
        throw base::UnreadableInput("The profile \"" + profile.description() +
                                    "\" is not for RGB, as the colours to be read are.");
    }
    m_state = std::make_unique<State>(State{ExactTransform(profile, Target::lab)});
}

LabReader::~LabReader() = default;
LabReader::LabReader(LabReader&&) noexcept = default;

Lab LabReader::lab(std::array<float, 3> rgb) const {
    Lab result;
    lab(rgb, {&result, 1});
    return result;
}

void LabReader::lab(std::span<const float> rgb_interleaved, std::span<Lab> out) const {
    assert(rgb_interleaved.size() == 3 * out.size());
    constexpr std::size_t chunk = 1024;
    std::array<float, 3 * chunk> values{};
    for (std::size_t start = 0; start < out.size(); start += chunk) {
        const std::size_t count = std::min(chunk, out.size() - start);
        m_state->to_lab.run(rgb_interleaved.data() + 3 * start, values.data(), count);
        for (std::size_t i = 0; i < count; ++i) {
            out[start + i] = {values[3 * i], values[3 * i + 1], values[3 * i + 2]};
        }
    }
}

}  // namespace hangtrue::colour
