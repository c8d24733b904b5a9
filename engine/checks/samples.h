// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The print and its picture, made small enough to be held whole and looked at. Values, filled by jobs.

#include <array>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/colour/difference.h"
#include "engine/picture/plateaus.h"

namespace hangtrue::checks {

/// All colours are Lab (D50), relative to the medium's white.
struct Samples {
    base::PixelSize size;                    ///< Of what follows, row by row.
    base::RealRect part;                     ///< Of the upright picture, that they cover: all panels together.
    std::vector<std::array<float, 3>> file;  ///< As the file will hold them: its own encoding, 0..1.
    std::vector<colour::Lab> print;          ///< The same as colours.
    std::vector<colour::Lab> picture;        ///< The picture's colours: before correction and file space.
    /// Colour difference (dE00) between `print` and the nearest that the print profile holds; empty: no profile known.
    std::vector<float> beyond_print;
    bool in_print_space = false;  ///< The file's space is the print's own, so what it cannot hold is beyond_print.
    /// L* in the print of each grey code of the picture, 0..255.
    std::array<double, 256> tone{};
    picture::Plateaus plateaus;        ///< Of the picture's own pixels.
    bool from_device_profile = false;  ///< The picture's profile is of a printer or a scanner, not a working space.
    std::string profile_name;          ///< The picture's.
};

/// A part of the samples in pixels of the upright picture.
base::PixelRect on_picture(base::PixelRect part, const Samples& samples);

}  // namespace hangtrue::checks
