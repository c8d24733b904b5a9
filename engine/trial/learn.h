// SPDX-License-Identifier: Apache-2.0
#pragma once

/// All readings of a medium together: what its files need, how surely, and what one more sheet would gain.
/// Deterministic, thread-safe.

#include <span>
#include <vector>

#include "engine/trial/belief.h"
#include "engine/trial/learned.h"
#include "engine/trial/texts.h"
#include "engine/trial/tone_fit.h"

namespace hangtrue::trial {

/// A reading with its sheet.
struct ReadSheet {
    const KeptSheet& sheet;
    const Reading& reading;
    double age_days = 0;
};

/// The sheet's patches that were read, as they were sent and as they were printed.
std::vector<SentAndRead> sent_and_read(const Sheet& sheet, const Measured& measured);

/// What the eyes' answers say alone, of each sheet the last; old ones count less: half after a year (estimate).
Belief believed_of(std::span<const ReadSheet> readings);

/// Measurements go before answers, scans before photographs; several of a kind are weighed together by age.
Learned learned_from(std::span<const ReadSheet> readings);

/// Below this expected error one more sheet is not worth its price: about what is just visible in a picture (estimate).
inline constexpr double good_enough = 1.3;

}  // namespace hangtrue::trial
