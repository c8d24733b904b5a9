// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Pictures made in code for the runs, and the shop's own text file as a user would write it.

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "tests/virtual_shop/print_file.h"

namespace hangtrue::virtual_shop {

/// Tones and colours as photographs have them (each octave of detail as strong as the next), 18 x 12 in at 300 ppi.
void write_scene(const std::filesystem::path& file, std::uint64_t seed);

struct ChartPatch {
    std::array<std::uint8_t, 3> rgb{};  ///< sRGB.
    RectMm inner;                       ///< Its middle, on the 10 x 8 in print.
};

/// Neutrals and 24 colours, then as many more as fill the chart.
inline constexpr std::size_t neutral_patches = 9;
inline constexpr std::size_t colour_patches = 24;
std::vector<ChartPatch> chart_patches();
/// 10 x 8 in at 300 ppi: each pixel is printed as one.
void write_chart(const std::filesystem::path& file);

/// A medium in two sizes of one process: 18 x 12 in, and 10 x 8 in for tests.
std::string shop_file_text();

}  // namespace hangtrue::virtual_shop
