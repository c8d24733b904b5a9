// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Paper sizes by their names, A0 to A6. Pure, thread-safe.

#include <optional>
#include <string>
#include <string_view>

#include "engine/base/units.h"

namespace hangtrue::plan {

/// "A3" (or "a3") is 297 x 420 mm, standing. Nothing for any other word. Source: ISO 216.
std::optional<base::SizeMm> paper_size(std::string_view name);

/// "A3" where `size` has its sides, either way round, within half a millimetre.
std::optional<std::string> paper_name(base::SizeMm size);

}  // namespace hangtrue::plan
