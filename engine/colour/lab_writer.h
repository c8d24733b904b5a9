// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From Lab to the RGB of a profile, by Little CMS's exact path. Thread-safe.

#include <array>
#include <memory>
#include <optional>

#include "engine/colour/difference.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

class LabWriter {
  public:
    /// Throws UnreadableInput where the profile is not for RGB or cannot be used backwards.
    explicit LabWriter(const Profile& profile);
    ~LabWriter();
    LabWriter(LabWriter&&) noexcept;

    /// 0..1; nothing where the space does not hold the colour within dE76 0.5. Relative colorimetric.
    std::optional<std::array<float, 3>> rgb(Lab lab) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::colour
