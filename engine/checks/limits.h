// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Limits of checks that others tell by too.

namespace hangtrue::checks {

/// Of an edge's height: under it an overshoot reads as sharpness. Estimate; filters of the trade leave 7 to 12 %.
inline constexpr double much_overshoot = 0.15;
/// Steps across block borders against the others (as Wang, Sheikh, Bovik 2002 measure them). They tell in smooth
/// pictures alone: of 15 photographs saved once with quality 71 to 100 one passed 2 (the coarsest); four saved at 50
/// and again at 95 had 1.2 to 2.2. Estimate.
inline constexpr double much_blocking = 2;

}  // namespace hangtrue::checks
