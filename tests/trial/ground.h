// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A sheet as laid out on a small print, in sRGB.

#include "engine/colour/lab_writer.h"
#include "engine/trial/layout.h"

namespace hangtrue::trial {

/// A print of that size, bare of bleed, its safe area 5 mm in.
inline Ground ground_of(base::SizeMm size, base::PixelsPerInch ppi = {300}, double f50_cycles_per_mm = 5,
                        base::Millimetres least_patch = {5}) {
    const auto px = [&](base::Millimetres length) { return static_cast<int>(base::pixels(length, ppi) + 0.5); };
    const int inset = px({5});
    const base::PixelSize file{px(size.width), px(size.height)};
    return {file, {inset, inset, file.width - 2 * inset, file.height - 2 * inset}, ppi, f50_cycles_per_mm, least_patch};
}

inline std::optional<Sheet> laid_out_in_srgb(const Ground& ground, int levels = 255) {
    const colour::LabReader reader(colour::Profile::srgb());
    const colour::LabWriter writer(colour::Profile::srgb());
    return laid_out(
        ground, levels, [&](std::array<float, 3> rgb) { return reader.lab(rgb); },
        [&](colour::Lab lab) { return writer.rgb(lab); });
}

}  // namespace hangtrue::trial
