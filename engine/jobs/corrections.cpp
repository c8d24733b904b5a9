// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/corrections.h"

#include <algorithm>
#include <map>

#include "engine/base/error.h"
#include "engine/colour/lab_writer.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/readings.h"
#include "engine/trial/texts.h"

namespace hangtrue::jobs {
namespace {

KnownCorrection known(const ledger::CorrectionRow& row) {
    return {row.id, row.learned_at, row.printed, trial::learned_from_text(row.text)};
}

/// One colour in so many is looked at.
constexpr std::size_t every = 13;

/// In which circumstances eyes compared sheets with a screen; of each sheet the last answer counts.
std::vector<trial::Judged> judged_on_screens(const ledger::CorrectionRow& correction,
                                             const ledger::TrialRecords& records) {
    std::map<std::int64_t, trial::Judged> by_sheet;
    for (const auto& [sheet, taken_at, reading] :
         counted_readings(records, correction.printed, correction.learned_at)) {
        if (reading.answer && reading.answer->needed_screen()) by_sheet[sheet] = reading.judged;
    }
    std::vector<trial::Judged> judged;
    for (const auto& [sheet, one] : by_sheet) judged.push_back(one);
    return judged;
}

std::optional<double> dimmest_light(const std::vector<trial::Judged>& judged) {
    std::optional<double> dimmest;
    for (const trial::Judged& one : judged) {
        if (one.light_lux) dimmest = std::min(dimmest.value_or(*one.light_lux), *one.light_lux);
    }
    return dimmest;
}

bool has_different_screens(const std::vector<trial::Judged>& judged) {
    for (std::size_t i = 0; i < judged.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            if (trial::are_different_screens(judged[i], judged[j])) return true;
        }
    }
    return false;
}

/// Of the picture's colours: what the correction brings out of the file space.
double clipped_share(const plan::Plan& plan, std::span<const colour::Lab> picture, const colour::Profile& file_profile,
                     const Context& context) {
    const colour::LabWriter writer(file_profile);
    const colour::Corrector corrector(plan.correction.curves);
    std::size_t clipped = 0;
    std::size_t looked_at = 0;
    for (std::size_t i = 0; i < picture.size(); i += every) {
        if (looked_at++ % 1000 == 0) context.progress.check();
        if (!writer.rgb(corrector.corrected(picture[i])) && writer.rgb(picture[i])) ++clipped;
    }
    return looked_at == 0 ? 0 : static_cast<double>(clipped) / static_cast<double>(looked_at);
}

}  // namespace

shops::Medium as_measured(shops::Medium medium, const trial::Learned& learned) {
    if (!medium.measured_f50_cycles_per_mm) medium.measured_f50_cycles_per_mm = learned.f50_cycles_per_mm;
    return medium;
}

std::optional<checks::AppliedCorrection> applied_correction(const plan::Plan& plan, const plan::CorrectionWish& wish,
                                                            std::span<const colour::Lab> picture,
                                                            const colour::Profile& file_profile,
                                                            const Context& context) {
    if (plan.correction.id == 0) return std::nullopt;
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const auto row = records.correction(plan.correction.id);
    checks::AppliedCorrection applied;
    applied.id = plan.correction.id;
    applied.clipped_share = clipped_share(plan, picture, file_profile, context);
    if (row) {
        const std::string now = base::timestamp(context.clock.now());
        applied.age_days = base::days_between(row->learned_at, now);
        if (!wish.since.empty()) applied.most_days = base::days_between(wish.since, now);
        applied.has_light = plan.light.changes();
        if (known(*row).learned.by == trial::Learned::By::eye) {
            const auto judged = judged_on_screens(*row, records);
            applied.judged_lux = dimmest_light(judged);
            applied.has_different_screens = has_different_screens(judged);
        }
        applied.paper_difference = known(*row).learned.paper_difference;
    }
    return applied;
}

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
                                ". `hangtrue test status` says which is the newest of a medium.");
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
