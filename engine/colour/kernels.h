// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The loops over pixels, written once and compiled for every instruction set that Highway knows; the best
/// one is taken at run time. Plain functions on floats, thread-safe; planes of one call have one length and
/// may be of any length and alignment.

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/colour/conversion.h"
#include "engine/colour/fast_curve.h"

namespace hangtrue::colour {

/// Interleaved R, G, B to planes: v/255 or v/65535, correctly rounded.
void planes_from_samples(std::span<const std::uint8_t> samples, const Planes& out);
void planes_from_samples(std::span<const std::uint16_t> samples, const Planes& out);

/// In place; beyond 0..1 mirrored at 0, straight above 1.
void apply_curve(const FastCurve& curve, std::span<float> values);

void clip_to_unit(std::span<float> values);

/// Curves, a matrix, clipping to 0..1, curves. The matrix is written about green,
///   out = white * g + red * (r - g) + blue * (b - g),
/// so that a neutral stays a neutral to the last bit where `white` is 1.
struct MatrixShaper {
    std::array<const FastCurve*, 3> to_linear{};
    std::array<const FastCurve*, 3> to_encoded{};
    std::array<float, 3> white{};
    std::array<float, 3> red{};
    std::array<float, 3> blue{};
};
void apply_matrix_shaper(const MatrixShaper& shaper, const Planes& planes);

/// A cube of size^3 nodes over 0..1, each four floats (R, G, B, unused), blue running fastest.
struct CubeTable {
    int size = 0;
    std::vector<float> nodes;

    float* node(int red, int green, int blue) { return nodes.data() + 4 * index(red, green, blue); }
    std::size_t index(int red, int green, int blue) const {
        return static_cast<std::size_t>((red * size + green) * size + blue);
    }
};
/// Tetrahedral interpolation, in place; what lies beyond 0..1 is taken at the nearest end.
void apply_cube(const CubeTable& cube, const Planes& planes);

}  // namespace hangtrue::colour
