// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a verb answers: a status, sentences for people, a document for programs. Printed by run.cpp alone.

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "apps/cli/exit_status.h"

namespace hangtrue::cli {

/// Keys keep the order in which they were set, so that the document reads from the important to the small.
using Json = nlohmann::ordered_json;

struct Reply {
    ExitStatus status = ExitStatus::done;
    std::string text;                  ///< For standard output, without `--json`.
    Json json = Json::object();        ///< For standard output, with `--json`.
    std::vector<std::string> errors;   ///< Sentences for standard error.
    std::vector<std::string> remarks;  ///< For standard error too: what the status knows nothing of.
};

}  // namespace hangtrue::cli
