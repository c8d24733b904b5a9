// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A conversion through table profiles: as a cube built from the exact path, or by that path itself.

#include "engine/colour/conversion.h"
#include "engine/colour/kernels.h"
#include "engine/colour/lcms.h"

namespace hangtrue::colour {

/// Except with absolute colorimetry, whose point is the paper's tint, white becomes exactly 1, 1, 1.
CubeTable conversion_table(const ExactTransform& exact, int size, Intent intent);

/// Colour difference of the cube against the exact path, over fixed random colours and the greys, edges and
/// corners of the cube.
PathError table_error(const CubeTable& cube, const ExactTransform& exact, const Profile& file_space);

/// In place, clipped to 0..1 before and after.
void apply_exact(const ExactTransform& exact, Intent intent, const Planes& planes);

}  // namespace hangtrue::colour
