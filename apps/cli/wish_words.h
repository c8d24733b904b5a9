// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From the options of the wish to wishes. Thread-safe.

#include <optional>
#include <string>
#include <vector>

#include "apps/cli/arguments.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"

namespace hangtrue::cli {

struct SizedWish {
    plan::Wish wish;
    std::string size;  ///< As it was given.
};

/// One wish a `--size`. Throws InvalidWish where shop, medium or size is missing, and for what a word cannot mean.
std::vector<SizedWish> wishes_of(const Arguments& arguments);

/// The plan of `--plan`. Throws UnreadableInput, and InvalidWish where a wish stands beside it.
std::optional<plan::Plan> plan_of(const Arguments& arguments);

/// The first option of the wish that was given: "--size".
std::optional<std::string> first_wish_option(const Arguments& arguments);

}  // namespace hangtrue::cli
