// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The eye: acuity, contrast sensitivity, acutance. Pure mathematics, thread-safe.

#include <functional>
#include <optional>

#include "engine/base/units.h"

namespace hangtrue::optics {

/// The nearest distance from which 20/20 vision (1 arc minute a pixel) sees no pixel of `ppi`:
/// d = 25.4 / (2 ppi tan(1/120 degree)). Common acuity convention; 300 ppi -> 291.06 mm.
base::Millimetres sharp_from(base::PixelsPerInch ppi);
/// The inverse: the ppi that 20/20 vision just does not resolve from `distance`.
base::PixelsPerInch resolved_ppi(base::Millimetres distance);

/// Whether detail as fine as pixels of `detail_ppi` looks sharp from `distance`. Detail is measured to a tenth: a limit
/// missed by less than that is met.
bool is_sharp(base::PixelsPerInch detail_ppi, base::Millimetres distance);
/// As many pixels an inch would hold the same detail as `ppi` of a picture whose detail ends at that frequency.
base::PixelsPerInch detail_ppi(base::PixelsPerInch ppi, double detail_cycles_per_px);

/// Cycles a millimetre on the print, seen from `distance`, as cycles a degree (small angle: f * pi * d / 180).
base::CyclesPerDegree at_the_eye(double cycles_per_mm, base::Millimetres distance);
double on_the_print(base::CyclesPerDegree frequency, base::Millimetres distance);

/// Movshon & Kiorpes 1988, 75 f^0.8 exp(-0.2 f): the sensitivity of CPIQ edge acutance.
double contrast_sensitivity(base::CyclesPerDegree frequency);

/// Edge acutance (IEEE 1858 form): integral of mtf * csf over integral of csf, both from 0 to 60 cycles a degree.
double acutance(const std::function<double(base::CyclesPerDegree)>& mtf);

/// How near a print is held in the hand: 300 mm (near vision is usually taken as 250 to 400 mm; common practice).
inline constexpr base::Millimetres hand_distance{300};

/// From where a print that hangs is looked at: as the user says; else its diagonal (common practice), or as far as one
/// can step back where the room has less. What sizes, sharpening and detail all reckon with.
base::Millimetres wall_distance(base::SizeMm print, std::optional<base::Millimetres> wished,
                                std::optional<base::Millimetres> room_depth);
/// The closest likely look: half the diagonal, not under 300 mm, and not beyond the design distance.
base::Millimetres closest_look(base::SizeMm print, base::Millimetres design_distance);

}  // namespace hangtrue::optics
