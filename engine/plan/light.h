// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a plan says of the light that the print will hang in. Pure.

#include "engine/optics/light.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/shops/medium.h"

namespace hangtrue::plan {

/// How bright a medium's white and black are, by its class: estimates, no published source. A finish that the shop
/// calls otherwise than its class suggests is off by a few per cent of light.
optics::Surface surface_of(const shops::Medium& medium);

/// A change of tones as the conversion takes it.
colour::Correction as_correction(const optics::ToneKnots& knots);

/// Throws InvalidWish for lux or candelas that no room and no screen has. Nothing where the wish names no light.
PlannedLight planned_light(const Wish& wish, const shops::Medium& medium);

}  // namespace hangtrue::plan
