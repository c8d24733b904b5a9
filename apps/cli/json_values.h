// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Values of the engine as JSON; names of numbers carry their units. Pure, thread-safe.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "apps/cli/reply.h"
#include "engine/base/units.h"
#include "engine/checks/checks.h"
#include "engine/jobs/context.h"
#include "engine/jobs/make.h"
#include "engine/plan/plan.h"

namespace hangtrue::cli {

Json json_of(const jobs::StageSeconds& seconds);
Json json_of(const std::vector<checks::Finding>& findings);
Json json_of(const plan::Plan& plan);
Json json_of(const plan::PlannedNetwork& network);
Json json_of(const std::optional<render::Likeness>& likeness);
Json json_of(base::PixelRect rect);

/// `status`, `ending` and `sentence` of one job among several.
void set_ending(Json& job, ExitStatus status, const std::string& sentence);

/// null where `value` is empty.
template <typename Value>
Json or_null(const std::optional<Value>& value) {
    return value ? Json(*value) : Json(nullptr);
}

}  // namespace hangtrue::cli
