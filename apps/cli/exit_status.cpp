// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/exit_status.h"

#include <algorithm>
#include <array>

namespace hangtrue::cli {

namespace {

constexpr std::array<ExitStatusInfo, 8> table{{
    {ExitStatus::done, "done", "Done."},
    {ExitStatus::refused, "refused", "A check refused the print, or `verify` or `ledger again` found a difference."},
    {ExitStatus::wrong_use, "wrong-use",
     "Wrong use; a shop, medium, size or ID that does not exist; a wish that contradicts itself."},
    {ExitStatus::unreadable, "unreadable", "A picture, shop file, list or plan cannot be read."},
    {ExitStatus::unwritable, "unwritable", "The output cannot be written, or its name exists already (`--replace`)."},
    {ExitStatus::cancelled, "cancelled", "Stopped by the user, Ctrl-C included."},
    {ExitStatus::ledger, "ledger", "The ledger cannot be used."},
    {ExitStatus::our_fault, "our-fault", "A fault of Hangtrue's own."},
}};

}  // namespace

std::span<const ExitStatusInfo> exit_statuses() { return table; }

std::string_view name_of(ExitStatus status) {
    const auto* found = std::find_if(table.begin(), table.end(), [&](const auto& row) { return row.status == status; });
    return found == table.end() ? "our-fault" : found->name;
}

ExitStatus status_of(jobs::Ending ending) {
    switch (ending) {
        case jobs::Ending::done: return ExitStatus::done;
        case jobs::Ending::refused: return ExitStatus::refused;
        case jobs::Ending::bad_wish: return ExitStatus::wrong_use;
        case jobs::Ending::unreadable: return ExitStatus::unreadable;
        case jobs::Ending::unwritable: return ExitStatus::unwritable;
        case jobs::Ending::cancelled: return ExitStatus::cancelled;
        case jobs::Ending::ledger: return ExitStatus::ledger;
        case jobs::Ending::our_fault: return ExitStatus::our_fault;
    }
    return ExitStatus::our_fault;
}

ExitStatus combined(std::span<const ExitStatus> statuses) {
    if (statuses.empty()) return ExitStatus::done;
    if (std::find(statuses.begin(), statuses.end(), ExitStatus::cancelled) != statuses.end()) {
        return ExitStatus::cancelled;
    }
    return *std::max_element(statuses.begin(), statuses.end());
}

}  // namespace hangtrue::cli
