// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/screen_colours.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <optional>
#include <utility>

#include "engine/base/error.h"
#include "engine/colour/conversion.h"
#include "engine/colour/profile.h"

namespace hangtrue::jobs {
namespace {

constexpr std::size_t pixels_at_once = 65536;  ///< Three planes of floats that stay in the cache.

colour::Profile profile_of(std::span<const std::byte> icc, const char* name) {
    return icc.empty() ? colour::Profile::srgb() : colour::Profile::from_bytes(icc, name);
}

}  // namespace

struct ScreenColours::State {
    State(colour::Profile pixels, colour::Profile of_screen)
        : is_same(pixels.hash() == of_screen.hash()), working(pixels, colour::SourceModel::rgb, "the picture") {
        if (!is_same) conversion.emplace(working, of_screen, colour::ConversionSettings{});
    }
    bool is_same;
    colour::WorkingForm working;
    std::optional<colour::Conversion> conversion;
};

ScreenColours::ScreenColours(std::span<const std::byte> pixels_profile, std::span<const std::byte> screen_profile)
    : m_state(std::make_unique<State>(profile_of(pixels_profile, "the picture"),
                                      profile_of(screen_profile, "the screen's profile"))) {}
ScreenColours::~ScreenColours() = default;
ScreenColours::ScreenColours(ScreenColours&&) noexcept = default;

bool ScreenColours::is_same() const { return m_state->is_same; }

std::vector<std::uint8_t> ScreenColours::shown(std::span<const std::byte> samples, int bits) const {
    const std::size_t sample_bytes = bits == 16 ? 2 : 1;
    const std::size_t count = samples.size() / sample_bytes;
    std::vector<std::uint8_t> out(count);
    std::vector<std::uint16_t> wide;
    if (bits == 16) {
        wide.resize(count);
        std::memcpy(wide.data(), samples.data(), count * 2);
    }
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(samples.data());
    if (m_state->is_same) {
        if (bits == 16) {
            std::transform(wide.begin(), wide.end(), out.begin(),
                           [](std::uint16_t sample) { return static_cast<std::uint8_t>((sample + 128) / 257); });
        } else {
            std::copy_n(bytes, count, out.begin());
        }
        return out;
    }
    std::array<std::vector<float>, 3> planes;
    for (std::size_t first = 0; first < count / 3; first += pixels_at_once) {
        const std::size_t pixels = std::min(pixels_at_once, count / 3 - first);
        for (auto& plane : planes) plane.resize(pixels);
        const colour::Planes part{planes[0], planes[1], planes[2]};
        if (bits == 16) {
            m_state->working.from_samples(std::span<const std::uint16_t>(wide).subspan(3 * first, 3 * pixels), part);
        } else {
            m_state->working.from_samples(std::span<const std::uint8_t>(bytes + 3 * first, 3 * pixels), part);
        }
        m_state->conversion->apply(part);
        for (std::size_t i = 0; i < pixels; ++i) {
            for (std::size_t c = 0; c < 3; ++c) {
                out[3 * (first + i) + c] = static_cast<std::uint8_t>(planes[c][i] * 255.0f + 0.5f);
            }
        }
    }
    return out;
}

std::string screen_profile_name(std::span<const std::byte> icc) {
    const colour::Profile profile = colour::Profile::from_bytes(icc, "the screen's profile");
    if (profile.device_space() != colour::DeviceSpace::rgb) {
        throw base::UnreadableInput("The screen's profile is not of red, green and blue.");
    }
    return profile.description();
}

}  // namespace hangtrue::jobs
