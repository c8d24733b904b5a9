// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the program's exit status says. Pure, thread-safe.

#include <span>
#include <string_view>

#include "engine/jobs/context.h"

namespace hangtrue::cli {

enum class ExitStatus {
    done = 0,
    refused = 1,
    wrong_use = 2,
    unreadable = 3,
    unwritable = 4,
    cancelled = 5,
    ledger = 6,
    our_fault = 70,
};

struct ExitStatusInfo {
    ExitStatus status;
    std::string_view name;     ///< As the JSON's `ending` says it.
    std::string_view meaning;  ///< For help and documentation.
};

/// In ascending order; every status is in it.
std::span<const ExitStatusInfo> exit_statuses();

std::string_view name_of(ExitStatus status);
ExitStatus status_of(jobs::Ending ending);

/// Several jobs, one status: cancelled goes before all; then our own fault; then the largest of ledger,
/// unwritable, unreadable, wrong use; then refused; done only where all are.
ExitStatus combined(std::span<const ExitStatus> statuses);

}  // namespace hangtrue::cli
