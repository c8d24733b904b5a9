// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What orders come to before anything is made: for many at once, so from the pictures' headers alone.

#include <string>
#include <vector>

#include "engine/jobs/context.h"
#include "engine/jobs/make.h"

namespace hangtrue::jobs {

/// A sentence for each: what the size asks of the picture, or why it cannot be made so. Writes and measures nothing.
/// Throws Cancelled.
std::vector<std::string> order_verdicts(const std::vector<MakeRequest>& requests, Context& context);

}  // namespace hangtrue::jobs
