// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Which variants the next sheet shows: those whose answer tells most. Deterministic, thread-safe.

#include <cstdint>
#include <span>
#include <vector>

#include "engine/colour/correction.h"
#include "engine/trial/belief.h"

namespace hangtrue::trial {

/// `count` shifts, no two nearer than `least_seen` on the part's colours where that is possible; the first is what is
/// believed, the others are chosen one by one so that the expected information of the answer is largest (Lindley 1956).
/// In an order that says nothing of their values; `number` (the sheet's) mixes it.
std::vector<colour::Shift> next_variants(const Belief& belief, std::span<const colour::Lab> part, int count,
                                         std::int64_t number);

/// What the next sheet of so many cells is expected to leave of the error (dE00, everyday colours).
double error_after_next(const Belief& belief, std::span<const colour::Lab> part, int count);

}  // namespace hangtrue::trial
