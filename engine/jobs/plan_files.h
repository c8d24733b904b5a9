// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Plans that were kept: as a file, or in a record.

#include <filesystem>

#include "engine/ledger/ledger.h"
#include "engine/plan/plan.h"

namespace hangtrue::jobs {

/// Throws UnreadableInput with line and column.
plan::Plan plan_from_file(const std::filesystem::path& file);

/// Throws UnreadableInput where the record's plan is not one that this version reads.
plan::Plan plan_of_record(const ledger::Row& row);

}  // namespace hangtrue::jobs
