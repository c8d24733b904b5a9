// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What would go wrong with a print: findings, as values. Pure, thread-safe.

#include <span>
#include <string>
#include <vector>

#include "engine/base/units_text.h"
#include "engine/checks/history.h"
#include "engine/checks/samples.h"
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
    std::string way_out;                 ///< What would mend it.
    std::string option = {};             ///< The same as options of the verb, as typed: "--bleed auto"; empty: none.
    std::string command = {};            ///< Or another verb that helps: "hangtrue view"; empty: none.
    std::vector<base::PixelRect> where;  ///< In pixels of the upright picture, the weightiest first; empty: all over.
    bool passable = false;               ///< `--anyway` passes it; never true for a shop's file rules.
};

/// One row of the table of checks: docs/checks.md and tests are made from it.
struct CheckInfo {
    std::string name;
    Severity severity;
    bool passable;
    std::string meaning;
    std::string limit;  ///< Where the line is, and where that comes from.
};
const std::vector<CheckInfo>& table();

/// What the checks of a plan look at.
struct Subject {
    const plan::Plan& plan;
    const shops::Medium& medium;
    const plan::PictureFacts& picture;
    base::ShownUnits units = base::ShownUnits::inches;  ///< Which stand first in sentences.
};

/// File rules and pixel counts, profile and shape, detail and noise, of a settled plan.
std::vector<Finding> findings(const Subject& subject);

/// What shows in the samples of a print of one panel or several: tones, colours, steps, what stands near an edge.
std::vector<Finding> findings_in(const Samples& samples, std::span<const plan::Plan> panels,
                                 const shops::Medium& medium, base::ShownUnits units = base::ShownUnits::inches);

/// What the records say: test prints of this medium, its correction, earlier prints of this picture.
std::vector<Finding> findings_of(const History& history, const plan::Plan& plan);

/// As --size takes it: "24x16in", "420x297mm".
std::string size_word(base::SizeMm size);

/// The finding of a plan whose medium the shop file does not have any more: no rule of the shop could be held.
Finding medium_gone(const plan::Plan& plan);

/// The finding of a test sheet where the shop has not told which process prints which size.
Finding process_not_told(const plan::Plan& print);

/// The gravest first, else in the order in which they came.
void sort_by_severity(std::vector<Finding>& findings);

/// The stops that `anyway` does not pass.
std::vector<Finding> stops(const std::vector<Finding>& findings, bool anyway);

}  // namespace hangtrue::checks
