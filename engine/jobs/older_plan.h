// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Plans settled by earlier versions of the program.

#include <string>

#include "engine/plan/plan.h"

namespace hangtrue::jobs {

/// Says that pixels may differ, where `plan` names a way of computing older than this program's; empty where it does
/// not.
std::string older_plan_notice(const plan::Plan& plan);

/// The plan as this program carries it out: the same numbers, computed today's way, and saying so.
plan::Plan carried_out_today(plan::Plan plan);

}  // namespace hangtrue::jobs
