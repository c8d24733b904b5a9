// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/corrections.h"

#include "engine/base/error.h"
#include "engine/jobs/opened_picture.h"
#include "engine/trial/texts.h"

namespace hangtrue::jobs {
namespace {

KnownCorrection known(const ledger::CorrectionRow& row) {
    return {row.id, row.learned_at, row.printed, trial::learned_from_text(row.text)};
}

}  // namespace

ledger::Printed printed_as(const std::string& shop, const shops::Medium& medium, const std::string& process) {
    const bool differs = !medium.same_process_for_all_sizes.value_or(false);
    return {shop, medium.id, differs ? process : std::string()};
}

std::optional<KnownCorrection> latest_correction(const ledger::Printed& printed, const Context& context) {
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const auto row = records.latest_correction(printed);
    return row ? std::optional(known(*row)) : std::nullopt;
}

plan::PlannedCorrection wished_correction(const plan::CorrectionWish& wish, const ledger::Printed& printed,
                                          const Context& context) {
    using Which = plan::CorrectionWish::Which;
    if (wish.which == Which::none) return {};
    if (wish.which == Which::latest) {
        const auto latest = latest_correction(printed, context);
        if (!latest || !latest->learned.is_applied) return {};
        return {latest->id, latest->learned.curves};
    }
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const auto row = records.correction(wish.id);
    if (!row) {
        throw base::InvalidWish("The ledger has no correction number " + std::to_string(wish.id) +
                                ". See `hangtrue test status`.");
    }
    if (row->printed != printed) {
        throw base::InvalidWish("Correction " + std::to_string(wish.id) + " was learned of \"" + row->printed.medium +
                                "\" from \"" + row->printed.shop + "\"" +
                                (row->printed.process.empty() ? "" : ", printed by \"" + row->printed.process + "\"") +
                                ", and holds for nothing else. Leave --correction out, or give none.");
    }
    return {row->id, known(*row).learned.curves};
}

}  // namespace hangtrue::jobs
