// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/proof.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <vector>

#include "engine/base/error.h"
#include "engine/colour/conversion_table.h"
#include "engine/colour/kernels.h"
#include "engine/colour/lcms.h"
#include "engine/colour/matrix_model.h"
#include "engine/colour/print_gamut.h"

namespace hangtrue::colour {

namespace {

constexpr int gamut_table_size = 33;
// For the eye, not for a file: a print profile's own tables have kinks that no cube follows to the end.
constexpr PathError accepted{.mean = 0.1, .percentile_99 = 0.3, .largest = 0.45};

std::size_t channels_of(const Profile& profile) {
    switch (profile.device_space()) {
        case DeviceSpace::grey: return 1;
        case DeviceSpace::rgb: return 3;
        case DeviceSpace::cmyk: return 4;
        case DeviceSpace::lab:
        case DeviceSpace::other: break;
    }
    throw base::UnreadableInput("The print profile \"" + profile.description() +
                                "\" is for neither grey, RGB nor CMYK, so that it cannot show how a print looks. Ask "
                                "the shop for the profile of the medium.");
}

/// D50, Y = 1 for the perfect diffuser. A profile that does not say has the connection space's own.
Xyz media_white(const Profile& profile) {
    const LcmsContext context;
    const LcmsProfile opened = context.open(profile.bytes());
    if (!opened) return d50;
    // Screens of version 2 have their own white there, which the eye is adapted to.
    if (cmsGetEncodedICCversion(opened.get()) < 0x4000000 && cmsGetDeviceClass(opened.get()) == cmsSigDisplayClass) {
        return d50;
    }
    const auto* white = static_cast<const cmsCIEXYZ*>(cmsReadTag(opened.get(), cmsSigMediaWhitePointTag));
    if (white == nullptr || !(white->X > 0.1 && white->Y > 0.1 && white->Z > 0.1)) return d50;
    return {white->X, white->Y, white->Z};
}

Lab scaled(Lab colour, Xyz factor) {
    const Xyz xyz = xyz_from_lab(colour);
    return lab_from_xyz({xyz.x * factor.x, xyz.y * factor.y, xyz.z * factor.z});
}

/// Light `black` becomes none; white stays.
Lab black_taken_off(Lab colour, double black) {
    const Xyz xyz = xyz_from_lab(colour);
    const auto off = [black](double value, double white) { return (value - black * white) / (1 - black); };
    return lab_from_xyz({off(xyz.x, d50.x), off(xyz.y, d50.y), off(xyz.z, d50.z)});
}

Lab black_put_on(Lab colour, Xyz black) {
    const Xyz xyz = xyz_from_lab(colour);
    const auto on = [](double value, double dark, double white) { return dark + (1 - dark / white) * value; };
    return lab_from_xyz({on(xyz.x, black.x, d50.x), on(xyz.y, black.y, d50.y), on(xyz.z, black.z, d50.z)});
}

/// From file samples to the print, Lab relative to its paper.
class Printing {
  public:
    virtual ~Printing() = default;
    virtual void printed(const float* in, Lab* out, std::size_t count) const = 0;
};

class ByProfile : public Printing {
  public:
    ByProfile(const Profile& file_space, const Profile& print, const ConversionSettings& settings)
        : m_channels(channels_of(print)), m_to_lab(print, Target::lab) {
        if (file_space.hash() != print.hash()) m_to_print.emplace(file_space, print, settings);
    }
    void printed(const float* in, Lab* out, std::size_t count) const override {
        std::vector<float> inks(m_channels * count);
        const float* device = in;
        if (m_to_print) {
            m_to_print->run(in, inks.data(), count);
            device = inks.data();
        }
        std::vector<float> lab(3 * count);
        m_to_lab.run(device, lab.data(), count);
        for (std::size_t i = 0; i < count; ++i) out[i] = {lab[3 * i], lab[3 * i + 1], lab[3 * i + 2]};
    }

  private:
    std::size_t m_channels;
    std::optional<ExactTransform> m_to_print;
    ExactTransform m_to_lab;
};

class AsMeasured : public Printing {
  public:
    AsMeasured(const Profile& file_space, const MeasuredPrint& print)
        : m_to_lab(file_space, Target::lab), m_corrector(print.correction), m_black(xyz_from_lab(print.black)) {}
    void printed(const float* in, Lab* out, std::size_t count) const override {
        std::vector<float> lab(3 * count);
        m_to_lab.run(in, lab.data(), count);
        for (std::size_t i = 0; i < count; ++i) {
            const Lab matched = m_corrector.uncorrected({lab[3 * i], lab[3 * i + 1], lab[3 * i + 2]});
            out[i] = black_put_on(matched, m_black);
        }
    }

  private:
    ExactTransform m_to_lab;
    Corrector m_corrector;
    Xyz m_black;
};

std::shared_ptr<const Printing> printing_of(const Profile& file_space, const PrintCondition& print,
                                            const ConversionSettings& settings) {
    if (const auto* profile = std::get_if<Profile>(&print)) {
        return std::make_shared<const ByProfile>(file_space, *profile, settings);
    }
    return std::make_shared<const AsMeasured>(file_space, std::get<MeasuredPrint>(print));
}

Lab black_of(const Printing& printing) {
    constexpr std::array<float, 3> none{0, 0, 0};
    Lab black;
    printing.printed(none.data(), &black, 1);
    return black;
}

}  // namespace

struct Proof::State {
    std::shared_ptr<const Printing> printing;
    ProofSettings settings;
    Xyz paper = d50;
    Lab black;

    Path path = Path::table;
    PathError error;
    Intent white = Intent::relative_colorimetric;  ///< absolute: the file's white is not the screen's.
    CubeTable cube;
    ExactWay exact;

    CubeTable gamut;  ///< dE00 in the first of three; empty: not known.

    Lab shown(Lab relative) const {
        if (!settings.paper_black) relative = black_taken_off(relative, luminance_of(black.lightness));
        if (!settings.paper_white) return relative;
        return scaled(relative, {paper.x / d50.x, paper.y / d50.y, paper.z / d50.z});
    }

    ExactWay to_screen(const Profile& screen) const {
        const auto from_lab =
            screen.is_matrix_rgb()
                ? nullptr
                : std::make_shared<const ExactTransform>(
                      Profile::lab(), screen, ConversionSettings{Intent::relative_colorimetric, /*black_point=*/false});
        const Matrix3 from_xyz = from_lab ? Matrix3{} : inverse(screen.matrix_model()->to_xyz);
        return [this, screen, from_lab, from_xyz](const float* in, float* out, std::size_t count) {
            std::vector<Lab> lab(count);
            printing->printed(in, lab.data(), count);
            for (std::size_t i = 0; i < count; ++i) {
                const Lab seen = shown(lab[i]);
                if (from_lab) {
                    const std::array<float, 3> values{static_cast<float>(seen.lightness), static_cast<float>(seen.a),
                                                      static_cast<float>(seen.b)};
                    from_lab->run(values.data(), out + 3 * i, 1);
                    continue;
                }
                const Xyz xyz = xyz_from_lab(seen);
                const auto linear = transformed(from_xyz, {xyz.x, xyz.y, xyz.z});
                for (std::size_t channel = 0; channel < 3; ++channel) {
                    out[3 * i + channel] =
                        static_cast<float>(screen.matrix_model()->curves[channel].to_encoded(linear[channel]));
                }
            }
        };
    }

    /// What the print cannot hold, its black taken for black, by the way that brings every colour nearest.
    void build_gamut(const Profile& file_space, const Profile& print) {
        const PrintGamut nearest(print, {Intent::relative_colorimetric, /*black_point=*/true});
        const ExactTransform to_lab(file_space, Target::lab);
        const ExactWay excess = [&](const float* in, float* out, std::size_t count) {
            std::vector<float> lab(3 * count);
            to_lab.run(in, lab.data(), count);
            std::vector<Lab> wanted(count);
            for (std::size_t i = 0; i < count; ++i) wanted[i] = {lab[3 * i], lab[3 * i + 1], lab[3 * i + 2]};
            std::vector<Lab> held(count);
            nearest.held(wanted, held);
            for (std::size_t i = 0; i < count; ++i) {
                std::fill_n(out + 3 * i, 3, static_cast<float>(delta_e_2000(wanted[i], held[i])));
            }
        };
        gamut = conversion_table(excess, gamut_table_size, Intent::absolute_colorimetric);
    }
};

Proof::Proof(const Profile& file_space, const PrintCondition& print, const Profile& screen,
             const ProofSettings& settings)
    : m_state(std::make_unique<State>()) {
    State& state = *m_state;
    state.settings = settings;
    state.printing = printing_of(file_space, print, settings.printing);
    const bool white_stays = !settings.paper_white && settings.printing.intent != Intent::absolute_colorimetric;
    state.white = white_stays ? Intent::relative_colorimetric : Intent::absolute_colorimetric;
    const auto* profile = std::get_if<Profile>(&print);
    state.paper = profile != nullptr ? media_white(*profile) : xyz_from_lab(std::get<MeasuredPrint>(print).paper);
    state.black = black_of(*state.printing);
    state.exact = state.to_screen(screen);
    if (auto table = near_table(state.exact, screen, state.white, {49, 65, 97}, accepted)) {
        state.cube = std::move(table->cube);
        state.error = table->error;
    } else {
        state.path = Path::exact;
    }
    if (profile != nullptr && file_space.hash() != profile->hash()) state.build_gamut(file_space, *profile);
}

Proof::~Proof() = default;
Proof::Proof(Proof&&) noexcept = default;

void Proof::apply(const Planes& planes) const {
    assert(planes.red.size() == planes.green.size() && planes.red.size() == planes.blue.size());
    if (m_state->path == Path::table) {
        apply_table(m_state->cube, planes);
    } else {
        apply_exact(m_state->exact, m_state->white, planes);
    }
}

Lab Proof::printed(std::array<float, 3> file) const {
    Lab relative;
    m_state->printing->printed(file.data(), &relative, 1);
    return m_state->shown(relative);
}

bool Proof::knows_gamut() const { return m_state->gamut.size > 0; }

void Proof::outside(const Planes& file, std::span<float> out) const {
    assert(out.size() == file.red.size());
    if (!knows_gamut()) {
        std::fill(out.begin(), out.end(), 0.0F);
        return;
    }
    std::copy(file.red.begin(), file.red.end(), out.begin());
    std::vector<float> green(file.green.begin(), file.green.end());
    std::vector<float> blue(file.blue.begin(), file.blue.end());
    apply_cube(m_state->gamut, {out, green, blue});
}

Lab Proof::paper() const { return lab_from_xyz(m_state->paper); }
Lab Proof::black() const { return m_state->black; }
Path Proof::path() const { return m_state->path; }
PathError Proof::error() const { return m_state->error; }

}  // namespace hangtrue::colour
