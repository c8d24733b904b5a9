// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A flat-bed scanner and a hand-held camera, that look at a print and write an ordinary picture file.

#include <cstdint>
#include <filesystem>
#include <optional>

#include "tests/virtual_shop/print_file.h"

namespace hangtrue::virtual_shop {

/// The devices' own blur, aperture included: the standard deviation of a Gaussian, in pixels of their picture.
inline constexpr double scanner_sigma_px = 0.35;
inline constexpr double camera_sigma_px = 0.45;

/// From the picture's places to the sheet's, homogeneous: (x, y, w) = rows * (column, row, 1); mm are x/w, y/w.
using Mapping = std::array<std::array<double, 3>, 3>;

struct ScanWish {
    double ppi = 300;
    std::uint64_t seed = 1;
    bool has_profile = true;       ///< Adobe RGB (1998), absolute: its white is the perfect diffuser.
    double turned = 0;             ///< Degrees clockwise, beside the skew with which the sheet was laid down.
    std::optional<double> skew{};  ///< Degrees; by chance up to 2 to either side where it is not said.
    double noise = 1;              ///< Times what the scanner has.
    int bits = 16;                 ///< TIFF alone; JPEG has 8.
};

/// Writes TIFF or JPEG, as the name ends. Returns where each place of the picture lies on the sheet.
Mapping scan(const Print& print, const ScanWish& wish, const std::filesystem::path& file);

struct PhotographWish {
    std::uint64_t seed = 1;
    double megapixels = 20;
    double noise = 1;
    int jpeg_quality = 90;
    bool has_own_curve = false;  ///< A tone of its own, as many cameras' pictures have: nothing on a sheet tells it.
};

Mapping photograph(const Print& print, const PhotographWish& wish, const std::filesystem::path& file);

}  // namespace hangtrue::virtual_shop
