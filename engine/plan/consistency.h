// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Whether a plan's numbers fit one another: what a plan that was settled always does, and one that
/// was changed by hand may not. Pure, thread-safe.

#include <optional>
#include <string>

#include "engine/plan/plan.h"

namespace hangtrue::plan {

/// What does not fit, and where it stands in the plan's text.
struct Contradiction {
    std::string table;
    std::string key;
    std::string sentence;  ///< Lower case: it follows a place.
};

/// The first contradiction found; nothing in a plan that can be made.
std::optional<Contradiction> contradiction(const Plan& plan);

}  // namespace hangtrue::plan
