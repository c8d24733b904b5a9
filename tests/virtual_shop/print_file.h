// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Files that come to the shop, and the print: a file again, that only the virtual shop's own devices look at.

#include <cstdint>
#include <filesystem>
#include <span>
#include <vector>

#include "engine/base/units.h"
#include "engine/colour/difference.h"
#include "engine/colour/profile.h"
#include "tests/virtual_shop/printer.h"

namespace hangtrue::virtual_shop {

/// A picture or print file as it was sent: RGB, interleaved, 16 bits (8-bit samples times 257), and its profile (sRGB
/// where it has none).
struct SentFile {
    base::PixelSize size;
    double ppi = 0;  ///< 0: it does not say.
    std::vector<std::uint16_t> samples;
    colour::Profile profile = colour::Profile::srgb();
};

/// Throws UnreadableInput for what a shop would send back: no RGB.
SentFile read_sent(const std::filesystem::path& file);

struct RectMm {
    double x = 0;
    double y = 0;
    double width = 0;
    double height = 0;
};

/// Ink on paper before any blur: a square of colour for each pixel of the file. Blur and grain are properties that the
/// devices see: the squares through a Gaussian, and grain at every place of the paper.
struct Print {
    base::PixelSize size;
    double ppi = 300;
    double blur_mm = 0;
    double grain_sd = 0;
    double grain_mm = 0.1;
    std::uint64_t seed = 1;
    std::vector<std::uint16_t> roots;  ///< Interleaved cube roots of absolute X, Y, Z, times 65535.

    double width_mm() const { return size.width * 25.4 / ppi; }
    double height_mm() const { return size.height * 25.4 / ppi; }
};

Print printed(const SentFile& file, const Shop& shop, const ColourTable& table);

/// A 16-bit TIFF of the cube roots; what else there is stands as TOML in its copyright tag.
void write_print(const Print& print, const std::filesystem::path& file);
Print read_print(const std::filesystem::path& file);

/// Means of X, Y, Z over parts of a print or of what `table` makes of a file; without blur and grain, which change no
/// mean. A part smaller than a pixel is that pixel.
colour::Xyz mean_in(const Print& print, const RectMm& part);
colour::Xyz mean_in(const SentFile& file, const ColourTable& table, const base::RealRect& part);

/// `blocks` x `blocks` means, row by row, over a part.
std::vector<colour::Xyz> blocks_in(const Print& print, const RectMm& part, int blocks);
std::vector<colour::Xyz> blocks_in(const SentFile& file, const ColourTable& table, const base::RealRect& part,
                                   int blocks);

}  // namespace hangtrue::virtual_shop
