// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What is taken for granted before anything was read: how shops err, and how eyes do. Estimates, all of them.

#include <cmath>
#include <numbers>

#include "engine/colour/correction.h"

namespace hangtrue::trial {

/// How shops that err differ from what is right, as standard deviations.
inline constexpr colour::Shift shops_err{.lightness = 4.5, .a = 3.5, .b = 3.5, .contrast = 0.085};
/// Of shops that need nothing…
inline constexpr double right_share = 0.2;
/// …but for what no two prints share.
inline constexpr colour::Shift right_shops_err{.lightness = 0.5, .a = 0.4, .b = 0.4, .contrast = 0.01};

/// Standard deviation of the eye's error when it judges how far a cell is off, as colour difference (dE00).
inline constexpr double eye_error = 1.5;
/// The scale of the Gumbel distribution that has it: choices are then shares of exponentials.
inline const double choice_scale = eye_error * std::sqrt(6.0) / std::numbers::pi;
/// Two cells nearer than this cannot be told apart: about one just noticeable difference.
inline constexpr double least_seen = 1.0;

}  // namespace hangtrue::trial
