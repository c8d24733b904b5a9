// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/lab_writer.h"

#include <algorithm>

#include "engine/colour/lcms.h"

namespace hangtrue::colour {

struct LabWriter::State {
    LabReader reader;
    ExactTransform from_lab;
};

LabWriter::LabWriter(const Profile& profile)
    : m_state(std::make_unique<State>(
          State{LabReader(profile),
                ExactTransform(Profile::lab(), profile, {Intent::relative_colorimetric, /*black_point=*/false})})) {}

LabWriter::~LabWriter() = default;
LabWriter::LabWriter(LabWriter&&) noexcept = default;

std::optional<std::array<float, 3>> LabWriter::rgb(Lab lab) const {
    constexpr double held = 0.5;
    const std::array<float, 3> in{static_cast<float>(lab.lightness), static_cast<float>(lab.a),
                                  static_cast<float>(lab.b)};
    std::array<float, 3> rgb{};
    m_state->from_lab.run(in.data(), rgb.data(), 1);
    for (float& channel : rgb) channel = std::clamp(channel, 0.0F, 1.0F);
    if (delta_e_76(lab, m_state->reader.lab(rgb)) > held) return std::nullopt;
    return rgb;
}

}  // namespace hangtrue::colour
