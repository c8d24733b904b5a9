// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A plan as text (TOML, format = 1), written by the program alone: each number reads back to the same bits.
/// Thread-safe.

#include <string>
#include <string_view>

#include "engine/plan/plan.h"

namespace hangtrue::plan {

std::string plan_text(const Plan& plan);

/// Throws UnreadableInput with line and column; a newer format is refused as such.
Plan plan_from_text(std::string_view text, const std::string& file_name);

}  // namespace hangtrue::plan
