// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Which correction a print gets, and what is known of the one it got.

#include <optional>

#include "engine/jobs/context.h"
#include "engine/ledger/trial_records.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/shops/medium.h"
#include "engine/trial/learned.h"

namespace hangtrue::jobs {

/// What a size of a medium is printed as: shop, medium and process. Where the shop says that one process prints all
/// sizes, or says nothing, all sizes are one.
ledger::Printed printed_as(const std::string& shop, const shops::Medium& medium, const std::string& process);

/// A correction as the ledger keeps it.
struct KnownCorrection {
    std::int64_t id = 0;
    std::string learned_at;
    ledger::Printed printed;
    trial::Learned learned;
};
std::optional<KnownCorrection> latest_correction(const ledger::Printed& printed, const Context& context);

/// What the wish names, of the ledger; with id 0 where nothing is applied. Throws InvalidWish where there is no such
/// correction, or it is another medium's.
plan::PlannedCorrection wished_correction(const plan::CorrectionWish& wish, const ledger::Printed& printed,
                                          const Context& context);

}  // namespace hangtrue::jobs
