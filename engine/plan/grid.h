// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From millimetres to the file's pixel grid: each edge at the nearest pixel. Pure, thread-safe.

#include "engine/plan/crop.h"
#include "engine/plan/edges.h"
#include "engine/plan/plan.h"

namespace hangtrue::plan {

/// File, image, face and edges; crop, mirrored and safe_area are left for the caller. Throws
/// InvalidWish where the file would have no pixels or too many, or where a mirrored wrap is wider
/// than the face.
Geometry geometry_of(const EdgePlan& edges, base::PixelsPerInch ppi, base::ShownUnits units);

/// A length in pixels at the nearest whole one; still a double, as it may be too large for an int.
double nearest_px(base::Millimetres length, base::PixelsPerInch ppi);

/// Whether the image is at least as wide and high as what its mirrored copies must fill.
bool mirror_reaches(const Geometry& geometry);

/// What `panels` of one size cover as they hang, `gap` apart, side by side.
base::SizeMm group_size(base::SizeMm panel, int panels, base::Millimetres gap);

/// The grid that the picture fills in `panels` files of this geometry, hung `gap` apart.
PrintGrid print_grid(const Geometry& geometry, base::PixelsPerInch ppi, int panels, base::Millimetres gap);

}  // namespace hangtrue::plan
