// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/corrected_way.h"

#include <array>
#include <cassert>
#include <memory>
#include <vector>

#include "engine/colour/difference.h"
#include "engine/colour/lcms.h"
#include "engine/colour/matrix_model.h"

namespace hangtrue::colour {

namespace {

Xyz xyz_of(const MatrixModel& model, const float* rgb) {
    std::array<double, 3> linear{};
    for (std::size_t i = 0; i < 3; ++i) linear[i] = model.curves[i].to_linear(rgb[i]);
    const auto [x, y, z] = transformed(model.to_xyz, linear);
    return {x, y, z};
}

/// From relative to absolute colorimetry: what the whites are against one another. Ones else.
std::array<double, 3> white_ratio(const MatrixModel& from, const MatrixModel& to, Intent intent) {
    std::array<double, 3> ratio{1, 1, 1};
    if (intent != Intent::absolute_colorimetric) return ratio;
    for (std::size_t i = 0; i < 3; ++i) ratio[i] = from.media_white[i] / to.media_white[i];
    return ratio;
}

/// The changes ready to be applied, one after the other.
std::vector<Corrector> correctors(const LabChanges& changes, const Profile& file_space) {
    std::vector<Corrector> ready;
    if (changes.light != nullptr) {
        ready.emplace_back(*changes.light, file_space.is_matrix_rgb() ? file_space : Profile::adobe_rgb());
    }
    if (changes.correction != nullptr) ready.emplace_back(*changes.correction);
    return ready;
}

Xyz changed(const std::vector<Corrector>& changes, Xyz colour) {
    for (const Corrector& change : changes) colour = change.corrected(colour);
    return colour;
}

ExactWay matrix_way(const Profile& from, const LabChanges& changes, const Profile& to, Intent intent) {
    return [from, ready = correctors(changes, to), to, from_xyz = inverse(to.matrix_model()->to_xyz),
            ratio = white_ratio(*from.matrix_model(), *to.matrix_model(), intent)](const float* in, float* out,
                                                                                   std::size_t count) {
        for (std::size_t i = 0; i < count; ++i, in += 3, out += 3) {
            const Xyz xyz = changed(ready, xyz_of(*from.matrix_model(), in));
            const auto linear = transformed(from_xyz, {xyz.x * ratio[0], xyz.y * ratio[1], xyz.z * ratio[2]});
            for (std::size_t channel = 0; channel < 3; ++channel) {
                out[channel] = static_cast<float>(to.matrix_model()->curves[channel].to_encoded(linear[channel]));
            }
        }
    };
}

ExactWay table_way(const Profile& from, const LabChanges& changes, const Profile& to,
                   const ConversionSettings& settings) {
    const auto from_lab = std::make_shared<const ExactTransform>(Profile::lab(), to, settings);
    return [from, ready = correctors(changes, to), from_lab](const float* in, float* out, std::size_t count) {
        for (std::size_t i = 0; i < count; ++i, in += 3, out += 3) {
            const Lab lab = lab_from_xyz(changed(ready, xyz_of(*from.matrix_model(), in)));
            const std::array<float, 3> values{static_cast<float>(lab.lightness), static_cast<float>(lab.a),
                                              static_cast<float>(lab.b)};
            from_lab->run(values.data(), out, 1);
        }
    };
}

}  // namespace

ExactWay plain_way(const Profile& from, const Profile& file_space, const ConversionSettings& settings) {
    const auto transform = std::make_shared<const ExactTransform>(from, file_space, settings);
    return [transform](const float* in, float* out, std::size_t count) { transform->run(in, out, count); };
}

ExactWay corrected_way(const Profile& from, const LabChanges& changes, const Profile& file_space,
                       const ConversionSettings& settings) {
    assert(from.is_matrix_rgb());  // As every working form is.
    return file_space.is_matrix_rgb() ? matrix_way(from, changes, file_space, settings.intent)
                                      : table_way(from, changes, file_space, settings);
}

}  // namespace hangtrue::colour
