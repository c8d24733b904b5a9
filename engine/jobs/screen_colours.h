// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From the colours that pixels are in to those of the screen they are shown on.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace hangtrue::jobs {

/// Relative colorimetric with black point compensation: white is the screen's white. Thread-safe.
class ScreenColours {
  public:
    /// ICC profiles; empty means sRGB. Throws UnreadableInput for bytes that are no profile, InvalidWish for a screen's
    /// profile that is not of RGB.
    ScreenColours(std::span<const std::byte> pixels_profile, std::span<const std::byte> screen_profile);
    ~ScreenColours();
    ScreenColours(ScreenColours&&) noexcept;

    /// Both profiles are the same: samples stay as they are.
    bool is_same() const;

    /// Interleaved R, G, B of 8 or 16 bits (in the machine's byte order) to 8-bit R, G, B of the screen, rounded to the
    /// nearest.
    std::vector<std::uint8_t> shown(std::span<const std::byte> samples, int bits) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

/// What the profile calls itself. Throws UnreadableInput for bytes that are no profile, or not of RGB.
std::string screen_profile_name(std::span<const std::byte> icc);

}  // namespace hangtrue::jobs
