// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Samples of pictures made in code: sRGB, uncorrected, as jobs would fill them.

#include <array>
#include <cmath>
#include <functional>
#include <vector>

#include "engine/checks/samples.h"
#include "engine/colour/profile.h"

namespace hangtrue::checks::made {

using Rgb = std::array<double, 3>;
/// The colour at a place, 0..1 from the upper left corner.
using Scene = std::function<Rgb(double x, double y)>;

inline constexpr base::PixelSize small{300, 200};

/// Soft hills of light: nothing white, nothing black, nothing strong.
inline Rgb hills(double x, double y) {
    const double light = 0.5 + 0.2 * std::sin(7 * x + 3 * y) + 0.1 * std::cos(11 * y - 2 * x);
    return {light, 0.95 * light, 0.85 * light + 0.05};
}

/// Codes of 8 bits at a pixel of a picture of `size`; tiles with plateaus as its rows show them.
template <typename Code>
picture::Plateaus plateaus(base::PixelSize size, Code&& code) {
    constexpr int side = picture::Plateaus::tile_px;
    picture::Plateaus found{size.width / side, size.height / side, {}};
    for (int row = 0; row < found.rows; ++row) {
        for (int column = 0; column < found.columns; ++column) {
            std::vector<float> tile;
            tile.reserve(side * side);
            for (int y = 0; y < side; ++y) {
                for (int x = 0; x < side; ++x) {
                    tile.push_back(static_cast<float>(code(column * side + x, row * side + y)));
                }
            }
            found.tiles.push_back(picture::plateaus_in(tile));
        }
    }
    return found;
}

/// Of a picture of which `part` is printed.
inline Samples samples(const Scene& scene, base::RealRect part = {0, 0, 6000, 4000}) {
    const colour::LabReader reader(colour::Profile::srgb());
    Samples made;
    made.size = small;
    made.part = part;
    made.profile_name = "sRGB";
    for (int y = 0; y < small.height; ++y) {
        for (int x = 0; x < small.width; ++x) {
            const Rgb rgb = scene((x + 0.5) / small.width, (y + 0.5) / small.height);
            made.file.push_back({static_cast<float>(rgb[0]), static_cast<float>(rgb[1]), static_cast<float>(rgb[2])});
        }
    }
    std::vector<float> interleaved;
    for (const auto& rgb : made.file) interleaved.insert(interleaved.end(), rgb.begin(), rgb.end());
    made.print.resize(made.file.size());
    reader.lab(interleaved, made.print);
    made.picture = made.print;
    for (std::size_t code = 0; code < made.tone.size(); ++code) {
        const float share = static_cast<float>(code) / 255;
        made.tone.at(code) = reader.lab({share, share, share}).lightness;
    }
    return made;
}

}  // namespace hangtrue::checks::made
