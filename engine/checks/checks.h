// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What would go wrong with a print: findings, as values. Pure, thread-safe.

#include <string>
#include <vector>

#include "engine/base/units_text.h"
#include "engine/plan/plan.h"
#include "engine/plan/settle.h"
#include "engine/shops/medium.h"

namespace hangtrue::checks {

enum class Severity { stop, look, note };

struct Finding {
    std::string name;  ///< Stable: "too-few-pixels".
    Severity severity = Severity::note;
    std::string sentence;  ///< For a photographer.
    double figure = 0;     ///< What was found…
    double limit = 0;      ///< …and where the line is, in `unit`.
    std::string unit;
    std::string way_out;    ///< What would mend it.
    bool passable = false;  ///< `--anyway` passes it; never true for a shop's file rules.
};

/// One row of the table of checks: docs and tests are made from it.
struct CheckInfo {
    std::string name;
    Severity severity;
    bool passable;
    std::string meaning;
};
const std::vector<CheckInfo>& table();

/// File rules and pixel counts, profile and shape, of a settled plan. Lengths stand in `units` first.
std::vector<Finding> findings(const plan::Plan& plan, const shops::Medium& medium, const plan::PictureFacts& picture,
                              base::ShownUnits units = base::ShownUnits::inches);

/// The finding of a plan whose medium the shop file does not have any more: no rule of the shop could be held.
Finding medium_gone(const plan::Plan& plan);

/// The finding of a test sheet where the shop has not told which process prints which size.
Finding process_not_told(const plan::Plan& print);

/// What is known of the correction that a print gets.
struct AppliedCorrection {
    std::int64_t id = 0;
    double age_days = 0;
    double most_days = 365;       ///< From the date that the user set, else a year.
    double paper_difference = 0;  ///< Between the last two papers measured, dE00.
    double clipped_share = 0;     ///< Of the picture, that the correction newly brings out of the file space, 0..1.
};
inline constexpr double most_paper_difference = 2;  ///< Estimate: papers differ less from box to box.
inline constexpr double most_clipped_share = 0.01;
std::vector<Finding> findings_of(const AppliedCorrection& correction);

/// The stops that `anyway` does not pass.
std::vector<Finding> stops(const std::vector<Finding>& findings, bool anyway);

}  // namespace hangtrue::checks
