// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What of a colour a print can hold, by its profile. Thread-safe.

#include <memory>
#include <span>

#include "engine/colour/conversion.h"
#include "engine/colour/difference.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

/// A colour that comes back more than this off (dE00) is outside: twice what is just visible; profiles' own tables are
/// off by one.
inline constexpr double gamut_limit = 2;

class PrintGamut {
  public:
    /// `print`: RGB, grey or CMYK. Throws UnreadableInput where it cannot be used both ways.
    PrintGamut(const Profile& print, const ConversionSettings& settings);
    ~PrintGamut();
    PrintGamut(PrintGamut&&) noexcept;

    /// Each colour as it comes back: brought to the profile and from there to Lab again, by Little CMS. A colour within
    /// the gamut comes back as it was, up to the coarseness of the profile's own tables; with black point compensation
    /// black is within.
    void held(std::span<const Lab> colours, std::span<Lab> out) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::colour
