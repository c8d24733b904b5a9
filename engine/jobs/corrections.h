// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Which correction a print gets, and what is known of the one it got.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/checks/checks.h"
#include "engine/colour/difference.h"
#include "engine/colour/profile.h"
#include "engine/jobs/context.h"
#include "engine/ledger/trial_records.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/shops/medium.h"
#include "engine/trial/learned.h"

namespace hangtrue::jobs {

/// What a size of a medium is printed as: shop, medium and process. Where the shop says that one process prints all
/// sizes they are one, whatever it calls it.
ledger::Printed printed_as(const std::string& shop, const shops::Medium& medium, const std::string& process);

/// A correction as the ledger keeps it.
struct KnownCorrection {
    std::int64_t id = 0;
    std::string learned_at;
    ledger::Printed printed;
    trial::Learned learned;
};
std::optional<KnownCorrection> latest_correction(const ledger::Printed& printed, const Context& context);

/// The medium as its test prints showed it: its blur, where a scan has told it and the shop's file does not.
shops::Medium as_measured(shops::Medium medium, const trial::Learned& learned);

/// What is known of the correction that a settled print gets; nothing where it gets none. `picture`: its colours.
std::optional<checks::AppliedCorrection> applied_correction(const plan::Plan& plan, const plan::CorrectionWish& wish,
                                                            std::span<const colour::Lab> picture,
                                                            const colour::Profile& file_profile,
                                                            const Context& context);

/// What the wish names, of the ledger; with id 0 where nothing is applied. Throws InvalidWish where there is no such
/// correction, or it is another medium's.
plan::PlannedCorrection wished_correction(const plan::CorrectionWish& wish, const ledger::Printed& printed,
                                          const Context& context);

}  // namespace hangtrue::jobs
