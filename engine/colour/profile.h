// SPDX-License-Identifier: Apache-2.0
#pragma once

/// ICC profiles as values. Copies are cheap and share the bytes; thread-safe to read.

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "engine/base/hash.h"

namespace hangtrue::colour {

struct MatrixModel;  // matrix_model.h

enum class DeviceSpace { grey, rgb, cmyk, lab, other };

class Profile {
  public:
    /// Parses and checks. Throws UnreadableInput ("the profile in NAME is damaged …") for bytes that are no
    /// profile, or of a class that cannot describe a picture or a print (device link, abstract, named colours).
    static Profile from_bytes(std::span<const std::byte> bytes, const std::string& name);

    /// Built in, ICC v2, matrix and curves, the same bytes on every machine (IEC 61966-2-1; Adobe RGB (1998)).
    static Profile srgb();
    static Profile adobe_rgb();
    /// Built in, v2, single channel, for grey pictures without a profile: D50 grey with the sRGB curve.
    static Profile srgb_grey();
    /// Built in, v2: the working form of pictures that have no matrix of their own: ROMM primaries (ISO 22028-2)
    /// with the sRGB curve.
    static Profile romm_form();
    /// Built in, v2: L*, a*, b* (D50) as samples, for Lab pictures without a profile.
    static Profile lab();

    std::span<const std::byte> bytes() const;
    const base::Sha256& hash() const;
    const std::string& description() const;
    DeviceSpace device_space() const;
    /// RGB by three primaries and curves: transforms of these are computed by formula.
    bool is_matrix_rgb() const;
    /// Matrix and curves; null where is_matrix_rgb() is false. Lives as long as a copy of this profile.
    const MatrixModel* matrix_model() const;

  private:
    struct State;
    std::shared_ptr<const State> m_state;
};

}  // namespace hangtrue::colour
