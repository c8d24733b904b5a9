// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A conversion that no formula for whole planes holds: as a cube built from the exact way, or that way itself.

#include <cstddef>
#include <functional>
#include <initializer_list>
#include <optional>

#include "engine/colour/conversion.h"
#include "engine/colour/kernels.h"

namespace hangtrue::colour {

/// The exact way: `count` interleaved colours of the working form to such of the file space. What it gives may lie
/// beyond 0..1; in and out may be the same. Thread-safe.
using ExactWay = std::function<void(const float* in, float* out, std::size_t count)>;

/// Except with absolute colorimetry, whose point is the paper's tint, white becomes exactly 1, 1, 1. The nodes are not
/// clipped, so that colours are only once they are looked up: the cube has no kink at the end of the file space.
CubeTable conversion_table(const ExactWay& exact, int size, Intent intent);

/// Colour difference of the cube against the exact path, over fixed random colours and the greys, edges and
/// corners of the cube.
PathError table_error(const CubeTable& cube, const ExactWay& exact, const Profile& file_space);

/// The first cube of `sizes` that is as near to the exact way as `accepted` says; nothing where none is.
struct MeasuredTable {
    CubeTable cube;
    PathError error;
};
std::optional<MeasuredTable> near_table(const ExactWay& exact, const Profile& file_space, Intent intent,
                                        std::initializer_list<int> sizes, const PathError& accepted);

/// In place, clipped to 0..1 before and after.
void apply_exact(const ExactWay& exact, Intent intent, const Planes& planes);
/// The same through the cube.
void apply_table(const CubeTable& cube, const Planes& planes);

}  // namespace hangtrue::colour
