// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/looking_over.h"
#include "engine/jobs/make.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/settled_wish.h"
#include "engine/jobs/ways_out.h"

namespace hangtrue::jobs {

CheckOutcome check(const std::filesystem::path& picture, const plan::Wish& wish, Context& context) {
    StageSeconds seconds;
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    OpenedPicture opened = opened_picture(picture, scratch_folder(), ledger, context, seconds);
    SettledWish settled = settled_wish(wish, std::nullopt, opened, ledger, context);
    prove_options(settled, wish, opened, context);
    return {all_findings(settled, wish.correction, opened, ledger, context), std::move(settled.plans)};
}

}  // namespace hangtrue::jobs
