// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where everything stands on a test sheet. Pure, thread-safe.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "engine/base/units.h"
#include "engine/colour/difference.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// The sheet that a shop prints: one of its sizes.
struct Ground {
    base::PixelSize file;
    base::PixelRect safe;  ///< Within it stands all that matters.
    base::PixelsPerInch ppi;
    double f50_cycles_per_mm = 2;      ///< Of the medium: what is finer is lost.
    base::Millimetres least_patch{5};  ///< 7 on canvas, whose weave needs more to be averaged.
};

inline constexpr base::Millimetres least_cell{20};
inline constexpr int least_cells = 5;
inline constexpr int most_cells = 20;  ///< More letters than that are not compared with care.

/// What `rgb` of the file space is in Lab, relative to white.
using LabOf = std::function<colour::Lab(std::array<float, 3>)>;
/// The file-space colour of a Lab, and nothing where the file space does not hold it.
using RgbOf = std::function<std::optional<std::array<float, 3>>(colour::Lab)>;

/// All but the cells' variants, `number`, `part` and `window`. Nothing where fewer than `least_cells` cells have room.
/// `levels`: of a channel, 255 or 65535: each patch's colour is a code exactly.
std::optional<Sheet> laid_out(const Ground& ground, int levels, const LabOf& lab_of, const RgbOf& rgb_of);

}  // namespace hangtrue::trial
