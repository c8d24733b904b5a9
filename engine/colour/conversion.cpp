// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/conversion.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <utility>
#include <vector>

#include "engine/base/error.h"
#include "engine/colour/conversion_table.h"
#include "engine/colour/corrected_way.h"
#include "engine/colour/kernels.h"
#include "engine/colour/lcms.h"
#include "engine/colour/matrix_model.h"

namespace hangtrue::colour {

namespace {

// Fixed-point colorants add up to the PCS white within this, in linear terms: 0.02 dE00 at most.
constexpr double white_tolerance = 3e-4;

// A table is used where it is as good as this (dE00).
constexpr PathError accepted{.mean = 0.03, .percentile_99 = 0.2, .largest = 0.8};

void require_rgb(const Profile& file_space) {
    if (file_space.device_space() != DeviceSpace::rgb) {
        throw base::InvalidWish("Print files are RGB, but the file space \"" + file_space.description() +
                                "\" is not an RGB profile. Set file_space to srgb or adobe_rgb, and name this "
                                "profile as print_profile, which serves for the proof.");
    }
}

// Perceptual, relative and saturation are one between matrix spaces: they have one rendering, and their
// black is no light at all, so that black point compensation changes nothing either.
Matrix3 linear_to_linear(const MatrixModel& from, const MatrixModel& to, Intent intent) {
    Matrix3 to_xyz = from.to_xyz;
    if (intent == Intent::absolute_colorimetric) {
        for (std::size_t row = 0; row < 3; ++row) {
            for (double& value : to_xyz[row]) {
                value *= from.media_white[row] / to.media_white[row];
            }
        }
    }
    return product(inverse(to.to_xyz), to_xyz);
}

}  // namespace

struct Conversion::State {
    Intent intent = Intent::relative_colorimetric;
    Path path = Path::exact;
    PathError error;
    bool is_identity = false;
    FastCurves to_linear;
    FastCurves to_encoded;
    MatrixShaper shaper;
    CubeTable cube;
    ExactWay exact;

    void build_matrix(const Profile& from, const Profile& to) {
        path = Path::matrix;
        to_linear = fast_to_linear(from.matrix_model()->curves);
        to_encoded = fast_to_encoded(to.matrix_model()->curves);
        const Matrix3 matrix = linear_to_linear(*from.matrix_model(), *to.matrix_model(), intent);
        std::array<double, 3> white{};
        for (std::size_t row = 0; row < 3; ++row) {
            white[row] = matrix[row][0] + matrix[row][1] + matrix[row][2];
        }
        const bool keeps_white =
            std::all_of(white.begin(), white.end(), [](double v) { return std::abs(v - 1) <= white_tolerance; });
        for (std::size_t row = 0; row < 3; ++row) {
            shaper.to_linear[row] = to_linear[row].get();
            shaper.to_encoded[row] = to_encoded[row].get();
            shaper.white[row] = keeps_white ? 1.0F : static_cast<float>(white[row]);
            shaper.red[row] = static_cast<float>(matrix[row][0]);
            shaper.blue[row] = static_cast<float>(matrix[row][2]);
        }
    }

    void build_table(ExactWay way, const Profile& to) {
        if (auto table = near_table(way, to, intent, {49, 65}, accepted)) {
            path = Path::table;
            cube = std::move(table->cube);
            error = table->error;
        } else {
            path = Path::exact;
            exact = std::move(way);
        }
    }

    void apply(const Planes& planes) const {
        if (is_identity) {
            clip_to_unit(planes.red);
            clip_to_unit(planes.green);
            clip_to_unit(planes.blue);
        } else if (path == Path::matrix) {
            apply_matrix_shaper(shaper, planes);
        } else if (path == Path::table) {
            apply_table(cube, planes);
        } else {
            apply_exact(exact, intent, planes);
        }
    }
};

Conversion::Conversion(const WorkingForm& from, const Profile& file_space, const ConversionSettings& settings,
                       const LabChanges& changes)
    : m_state(std::make_unique<State>()) {
    require_rgb(file_space);
    const Profile& source = from.profile();
    m_state->intent = settings.intent;
    if (changes.any()) {
        m_state->build_table(corrected_way(source, changes, file_space, settings), file_space);
    } else if (source.hash() == file_space.hash()) {
        m_state->path = Path::matrix;
        m_state->is_identity = true;
    } else if (file_space.is_matrix_rgb()) {
        m_state->build_matrix(source, file_space);
    } else {
        m_state->build_table(plain_way(source, file_space, settings), file_space);
    }
}

Conversion::~Conversion() = default;
Conversion::Conversion(Conversion&&) noexcept = default;

void Conversion::apply(const Planes& planes) const {
    assert(planes.red.size() == planes.green.size() && planes.red.size() == planes.blue.size());
    m_state->apply(planes);
}

Path Conversion::path() const { return m_state->path; }

PathError Conversion::error() const { return m_state->error; }

std::array<float, 3> flat_colour(std::array<std::uint8_t, 3> srgb, const Profile& file_space) {
    require_rgb(file_space);
    if (srgb == std::array<std::uint8_t, 3>{255, 255, 255}) {
        return {1, 1, 1};
    }
    std::array<float, 3> colour{};
    std::transform(srgb.begin(), srgb.end(), colour.begin(), [](std::uint8_t v) { return v / 255.0F; });
    if (file_space.hash() != Profile::srgb().hash()) {
        ExactTransform(Profile::srgb(), file_space, {}).run(colour.data(), colour.data(), 1);
    }
    for (float& value : colour) {
        value = std::clamp(value, 0.0F, 1.0F);
    }
    return colour;
}

}  // namespace hangtrue::colour
