// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/plan_files.h"

#include "engine/base/output_file.h"
#include "engine/plan/plan_file.h"

namespace hangtrue::jobs {
namespace {

/// Plans are a few kilobytes; a file of this size is none.
constexpr std::int64_t largest_plan_bytes = 4'000'000;

}  // namespace

plan::Plan plan_from_file(const std::filesystem::path& file) {
    return plan::plan_from_text(base::read_whole_file(file, largest_plan_bytes), file.string());
}

plan::Plan plan_of_record(const ledger::Row& row) {
    return plan::plan_from_text(row.plan_text, "the plan of record " + std::to_string(row.id));
}

}  // namespace hangtrue::jobs
