// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/profile.h"

#include <cmath>
#include <optional>
#include <utility>

#include "engine/base/error.h"
#include "engine/colour/icc_bytes.h"
#include "engine/colour/lcms.h"
#include "engine/colour/matrix_model.h"

namespace hangtrue::colour {

struct Profile::State {
    std::vector<std::byte> bytes;
    base::Sha256 hash;
    std::string description;
    DeviceSpace space = DeviceSpace::other;
    std::optional<MatrixModel> matrix;
};

namespace {

DeviceSpace device_space_of(std::uint32_t colour_space) {
    switch (colour_space) {
        case signature("GRAY"): return DeviceSpace::grey;
        case signature("RGB "): return DeviceSpace::rgb;
        case signature("CMYK"): return DeviceSpace::cmyk;
        case signature("Lab "): return DeviceSpace::lab;
        default: return DeviceSpace::other;
    }
}

void refuse_class(std::uint32_t profile_class, const std::string& name) {
    const char* what = nullptr;
    switch (profile_class) {
        case signature("scnr"):
        case signature("mntr"):
        case signature("prtr"):
        case signature("spac"): return;
        case signature("link"): what = "a device link, which joins two devices and describes neither"; break;
        case signature("abst"): what = "an abstract profile, which describes an effect and no colours"; break;
        case signature("nmcl"): what = "a list of named colours"; break;
        default: what = "of a kind that is not known"; break;
    }
    throw base::UnreadableInput("The profile in " + name + " is " + what +
                                ": it cannot say what the colours of a picture or a print are. Export the picture "
                                "with an ordinary RGB profile, such as sRGB or Adobe RGB.");
}

[[noreturn]] void refuse_damaged(const std::string& name, const std::string& how) {
    throw base::UnreadableInput("The profile in " + name + " is damaged: " + how +
                                ". Export the picture again, or take the profile from another copy.");
}

std::string utf8(const std::vector<wchar_t>& text) {
    std::string out;
    for (const wchar_t letter : text) {
        const auto code = static_cast<std::uint32_t>(letter);
        if (code == 0) {
            break;
        }
        // Control characters and halves of surrogate pairs have no place in a sentence.
        if (code < 0x20 || code == 0x7f || (code >= 0xd800 && code < 0xe000) || code > 0x10ffff) {
            out += ' ';
        } else if (code < 0x80) {
            out += static_cast<char>(code);
        } else if (code < 0x800) {
            out += static_cast<char>(0xc0 | (code >> 6));
            out += static_cast<char>(0x80 | (code & 0x3f));
        } else if (code < 0x10000) {
            out += static_cast<char>(0xe0 | (code >> 12));
            out += static_cast<char>(0x80 | ((code >> 6) & 0x3f));
            out += static_cast<char>(0x80 | (code & 0x3f));
        } else {
            out += static_cast<char>(0xf0 | (code >> 18));
            out += static_cast<char>(0x80 | ((code >> 12) & 0x3f));
            out += static_cast<char>(0x80 | ((code >> 6) & 0x3f));
            out += static_cast<char>(0x80 | (code & 0x3f));
        }
    }
    return out;
}

std::string description_of(void* profile) {
    const cmsUInt32Number size = cmsGetProfileInfo(profile, cmsInfoDescription, "en", "US", nullptr, 0);
    std::vector<wchar_t> text(size / sizeof(wchar_t) + 1);
    if (size == 0 || cmsGetProfileInfo(profile, cmsInfoDescription, "en", "US", text.data(), size) == 0) {
        return "unnamed";
    }
    text.back() = 0;
    std::string name = utf8(text);
    return name.empty() ? "unnamed" : name;
}

// Colours that no eye sees stand in some real profiles (ROMM's blue), but not white elsewhere than at white.
bool is_sane(const MatrixModel& model) {
    double white_luminance = 0;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        white_luminance += model.to_xyz[1][channel];
        for (std::size_t row = 0; row < 3; ++row) {
            if (std::abs(model.to_xyz[row][channel]) > 2) {
                return false;
            }
        }
    }
    return std::abs(determinant(model.to_xyz)) > 1e-3 && std::abs(white_luminance - 1) < 0.05;
}

std::optional<MatrixModel> matrix_model_of(const IccView& view) {
    if (view.colour_space != signature("RGB ") || view.connection_space != signature("XYZ ")) {
        return std::nullopt;
    }
    // Tables, where a profile has them, speak first.
    for (const std::uint32_t table : {signature("A2B0"), signature("A2B1"), signature("D2B0"), signature("D2B1")}) {
        if (!view.tag(table).empty()) {
            return std::nullopt;
        }
    }
    constexpr std::array colorants{signature("rXYZ"), signature("gXYZ"), signature("bXYZ")};
    constexpr std::array curves{signature("rTRC"), signature("gTRC"), signature("bTRC")};
    MatrixModel model;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const auto colorant = parse_xyz(view.tag(colorants[channel]));
        const auto curve = parse_curve(view.tag(curves[channel]));
        if (!colorant || !curve) {
            return std::nullopt;
        }
        for (std::size_t row = 0; row < 3; ++row) {
            model.to_xyz[row][channel] = (*colorant)[row];
        }
        model.curves[channel] = *curve;
    }
    // As Little CMS reads it: a version 2 monitor's white point is its own affair, it was adapted to D50.
    const auto white = parse_xyz(view.tag(signature("wtpt")));
    const bool is_adapted = view.major_version < 4 && view.profile_class == signature("mntr");
    model.media_white = white && !is_adapted ? *white : std::array{0.9642, 1.0, 0.8249};
    if (!is_sane(model)) {
        return std::nullopt;
    }
    return model;
}

}  // namespace

Profile Profile::from_bytes(std::span<const std::byte> bytes, const std::string& name) {
    const std::optional<IccView> view = parse_icc(bytes);
    if (!view) {
        refuse_damaged(name, "it is cut short, or no colour profile at all");
    }
    refuse_class(view->profile_class, name);

    auto state = std::make_shared<State>();
    state->bytes.assign(bytes.begin(), bytes.end());
    state->hash = base::sha256(bytes);
    state->space = device_space_of(view->colour_space);
    state->matrix = matrix_model_of(*view);
    {
        const LcmsContext context;
        const LcmsProfile opened = context.open(bytes);
        if (!opened) {
            refuse_damaged(name, context.complaint().empty() ? "it cannot be read" : context.complaint());
        }
        state->description = description_of(opened.get());
    }
    Profile profile;
    profile.m_state = std::move(state);
    if (profile.device_space() == DeviceSpace::other) {
        throw base::UnreadableInput("The profile in " + name +
                                    " is for a kind of colour that pictures and prints do not come in. Export the "
                                    "picture with an RGB profile, such as sRGB or Adobe RGB.");
    }
    try {
        // Read through once, so that a damaged table shows itself here and not in the middle of a print.
        const ExactTransform trial(profile, Target::xyz);
    } catch (const base::UnreadableInput&) {
        refuse_damaged(name, "the part that says what its colours are cannot be read");
    }
    return profile;
}

std::span<const std::byte> Profile::bytes() const { return m_state->bytes; }

const base::Sha256& Profile::hash() const { return m_state->hash; }

const std::string& Profile::description() const { return m_state->description; }

DeviceSpace Profile::device_space() const { return m_state->space; }

bool Profile::is_matrix_rgb() const { return m_state->matrix.has_value(); }

const MatrixModel* Profile::matrix_model() const { return m_state->matrix ? &*m_state->matrix : nullptr; }

}  // namespace hangtrue::colour
