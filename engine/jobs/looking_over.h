// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What is found beyond the plan itself: in the print's own samples, and in the records.

#include <vector>

#include "engine/checks/checks.h"
#include "engine/jobs/context.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/settled_wish.h"
#include "engine/ledger/ledger.h"
#include "engine/plan/wish.h"

namespace hangtrue::jobs {

/// All findings of a settled wish, the gravest first: `settled.findings` and what looking adds to them. Reads the
/// picture once more, writes nothing. Throws UnreadableInput, LedgerFailed, Cancelled.
std::vector<checks::Finding> all_findings(const SettledWish& settled, const plan::CorrectionWish& correction,
                                          OpenedPicture& picture, const ledger::Ledger& ledger, Context& context);

}  // namespace hangtrue::jobs
