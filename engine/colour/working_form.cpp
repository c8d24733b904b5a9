// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cassert>
#include <cmath>
#include <optional>
#include <vector>

#include "engine/base/error.h"
#include "engine/colour/conversion.h"
#include "engine/colour/difference.h"
#include "engine/colour/kernels.h"
#include "engine/colour/lcms.h"
#include "engine/colour/matrix_model.h"

namespace hangtrue::colour {

namespace {

constexpr std::size_t chunk = 1024;
constexpr std::size_t grey_levels = 65536;

bool fits(DeviceSpace space, SourceModel model) {
    switch (model) {
        case SourceModel::grey: return space == DeviceSpace::grey;
        case SourceModel::rgb: return space == DeviceSpace::rgb;
        case SourceModel::lab: return space == DeviceSpace::lab;
    }
    return false;
}

std::string name_of(SourceModel model) {
    return model == SourceModel::grey ? "grey" : model == SourceModel::rgb ? "RGB" : "Lab";
}

std::string name_of(DeviceSpace space) {
    switch (space) {
        case DeviceSpace::grey: return "grey";
        case DeviceSpace::rgb: return "RGB";
        case DeviceSpace::cmyk: return "CMYK";
        case DeviceSpace::lab: return "Lab";
        case DeviceSpace::other: break;
    }
    return "other";
}

void require_fit(const Profile& profile, SourceModel model, const std::string& picture_name) {
    if (!fits(profile.device_space(), model)) {
        throw base::UnreadableInput(
            picture_name + " holds " + name_of(model) + " samples, but the profile in it (\"" + profile.description() +
            "\") is for " + name_of(profile.device_space()) +
            ": its colours cannot be known. Export the picture again with the profile it was edited in.");
    }
}

// The encoded working value of each of 65536 levels of grey. White is where the profile's white is.
std::vector<float> grey_table(const Profile& profile, const FastCurve& to_encoded) {
    std::vector<float> levels(grey_levels);
    for (std::size_t i = 0; i < grey_levels; ++i) {
        levels[i] = static_cast<float>(i) / (grey_levels - 1);
    }
    std::vector<float> xyz(3 * grey_levels);
    ExactTransform(profile, Target::xyz).run(levels.data(), xyz.data(), grey_levels);
    const float white = xyz[3 * (grey_levels - 1) + 1];
    const float scale = std::abs(white - 1) < 0.01F ? 1 / white : 1;
    for (std::size_t i = 0; i < grey_levels; ++i) {
        levels[i] = xyz[3 * i + 1] * scale;
    }
    if (scale != 1) {
        levels.back() = 1;
    }
    apply_curve(to_encoded, levels);
    return levels;
}

template <typename Sample>
Lab lab_of(const Sample* sample) {
    constexpr double most = static_cast<Sample>(~Sample{0});
    constexpr double unit = sizeof(Sample) == 1 ? 1 : 256;
    return {sample[0] * 100 / most, sample[1] / unit - 128, sample[2] / unit - 128};
}

}  // namespace

struct WorkingForm::State {
    SourceModel model;
    Profile profile;  ///< Of the working form.
    bool is_own = false;
    FastCurves to_linear;
    FastCurves to_encoded;
    std::vector<float> grey;                     ///< Grey pictures only.
    std::optional<ExactTransform> to_xyz;        ///< Table RGB only.
    Matrix3 from_xyz{};                          ///< To linear RGB of the working form.
    std::array<double, 3> white_scale{1, 1, 1};  ///< Brings the profile's white to 1 (table RGB only).

    State(const Profile& source, SourceModel source_model)
        : model(source_model),
          profile(source_model == SourceModel::rgb && source.is_matrix_rgb() ? source : Profile::romm_form()),
          is_own(source_model == SourceModel::rgb && source.is_matrix_rgb()) {
        const MatrixModel& space = *profile.matrix_model();
        to_linear = fast_to_linear(space.curves);
        to_encoded = fast_to_encoded(space.curves);
        from_xyz = inverse(space.to_xyz);
        if (model == SourceModel::grey) {
            grey = grey_table(source, *to_encoded[0]);
        } else if (model == SourceModel::rgb && !is_own) {
            to_xyz.emplace(source, Target::xyz);
            find_white();
        }
    }

    void find_white() {
        const std::array<float, 3> white{1, 1, 1};
        std::array<float, 3> xyz{};
        to_xyz->run(white.data(), xyz.data(), 1);
        const std::array<double, 3> linear = transformed(from_xyz, {xyz[0], xyz[1], xyz[2]});
        // Rounded tables miss the white by a little; a profile whose white is truly tinted keeps it.
        const auto is_near_one = [](double v) { return std::abs(v - 1) < 0.01; };
        if (std::all_of(linear.begin(), linear.end(), is_near_one)) {
            std::transform(linear.begin(), linear.end(), white_scale.begin(), [](double v) { return 1 / v; });
        }
    }

    bool has_exact_white() const { return white_scale != std::array<double, 3>{1, 1, 1}; }

    void put_linear(const Planes& out, std::size_t i, const std::array<double, 3>& xyz) const {
        const std::array<double, 3> linear = transformed(from_xyz, xyz);
        out.red[i] = static_cast<float>(linear[0] * white_scale[0]);
        out.green[i] = static_cast<float>(linear[1] * white_scale[1]);
        out.blue[i] = static_cast<float>(linear[2] * white_scale[2]);
    }

    void encode(const Planes& planes) const {
        apply_curve(*to_encoded[0], planes.red);
        apply_curve(*to_encoded[1], planes.green);
        apply_curve(*to_encoded[2], planes.blue);
    }

    template <typename Sample>
    void from_grey(std::span<const Sample> samples, const Planes& out) const {
        // v/255 = 257 v/65535: one table serves both depths.
        constexpr std::size_t step = sizeof(Sample) == 1 ? 257 : 1;
        for (std::size_t i = 0; i < samples.size(); ++i) {
            out.red[i] = grey[step * samples[i]];
        }
        std::copy(out.red.begin(), out.red.end(), out.green.begin());
        std::copy(out.red.begin(), out.red.end(), out.blue.begin());
    }

    template <typename Sample>
    void from_lab(std::span<const Sample> samples, const Planes& out) const {
        for (std::size_t i = 0; i < out.red.size(); ++i) {
            const Xyz xyz = xyz_from_lab(lab_of(samples.data() + 3 * i));
            put_linear(out, i, {xyz.x, xyz.y, xyz.z});
        }
        encode(out);
    }

    template <typename Sample>
    void from_table_rgb(std::span<const Sample> samples, const Planes& out) const {
        constexpr Sample most = static_cast<Sample>(~Sample{0});
        std::array<float, 3 * chunk> colours{};
        for (std::size_t start = 0; start < out.red.size(); start += chunk) {
            const std::size_t count = std::min(chunk, out.red.size() - start);
            const Sample* here = samples.data() + 3 * start;
            std::transform(here, here + 3 * count, colours.begin(),
                           [](Sample v) { return static_cast<float>(v) / static_cast<float>(most); });
            to_xyz->run(colours.data(), colours.data(), count);
            for (std::size_t i = 0; i < count; ++i) {
                put_linear(out, start + i, {colours[3 * i], colours[3 * i + 1], colours[3 * i + 2]});
            }
        }
        encode(out);
        for (std::size_t i = 0; has_exact_white() && i < out.red.size(); ++i) {
            const Sample* here = samples.data() + 3 * i;
            if (here[0] == most && here[1] == most && here[2] == most) {
                out.red[i] = out.green[i] = out.blue[i] = 1;
            }
        }
    }

    template <typename Sample>
    void from_samples(std::span<const Sample> samples, const Planes& out) const {
        assert(out.red.size() == out.green.size() && out.red.size() == out.blue.size());
        assert(samples.size() == (model == SourceModel::grey ? 1 : 3) * out.red.size());
        if (model == SourceModel::grey) {
            from_grey(samples, out);
        } else if (model == SourceModel::lab) {
            from_lab(samples, out);
        } else if (is_own) {
            planes_from_samples(samples, out);
        } else {
            from_table_rgb(samples, out);
        }
    }
};

WorkingForm::WorkingForm(const Profile& profile, SourceModel model, const std::string& picture_name) {
    require_fit(profile, model, picture_name);
    m_state = std::make_unique<State>(profile, model);
}

WorkingForm::~WorkingForm() = default;
WorkingForm::WorkingForm(WorkingForm&&) noexcept = default;

void WorkingForm::from_samples(std::span<const std::uint8_t> samples, const Planes& out) const {
    m_state->from_samples(samples, out);
}

void WorkingForm::from_samples(std::span<const std::uint16_t> samples, const Planes& out) const {
    m_state->from_samples(samples, out);
}

void WorkingForm::to_linear(const Planes& planes) const {
    apply_curve(*m_state->to_linear[0], planes.red);
    apply_curve(*m_state->to_linear[1], planes.green);
    apply_curve(*m_state->to_linear[2], planes.blue);
}

void WorkingForm::to_encoded(const Planes& planes) const { m_state->encode(planes); }

std::array<float, 3> WorkingForm::luminance_weights() const {
    const std::array<double, 3>& y = m_state->profile.matrix_model()->to_xyz[1];
    const double sum = y[0] + y[1] + y[2];
    return {static_cast<float>(y[0] / sum), static_cast<float>(y[1] / sum), static_cast<float>(y[2] / sum)};
}

const Profile& WorkingForm::profile() const { return m_state->profile; }

bool WorkingForm::is_own_space() const { return m_state->is_own; }

}  // namespace hangtrue::colour
