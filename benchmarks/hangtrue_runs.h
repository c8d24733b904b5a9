// SPDX-License-Identifier: Apache-2.0
#pragma once

/// `hangtrue make --json` as a child, with what it says of itself and what is seen from outside.

#include <filesystem>
#include <string>
#include <vector>

#include "benchmarks/bench_shop.h"
#include "benchmarks/child_process.h"
#include "engine/jobs/context.h"

namespace hangtrue::benchmarks {

struct MakeCall {
    std::filesystem::path picture;
    BenchMedium medium;
    std::filesystem::path data;
    std::filesystem::path to;
};

struct MakeRun {
    ChildRun child;
    jobs::StageSeconds seconds;
    double decoder_bytes = 0;
    double spilled_bytes = 0;
    std::filesystem::path file;
};

std::vector<std::string> words_of(const MakeCall& call);

/// Throws std::runtime_error with what the program said where it did not make and verify the file.
MakeRun make(const MakeCall& call);

/// "open 0.01, measure 0.00, …"
std::string stages_text(const jobs::StageSeconds& seconds);

}  // namespace hangtrue::benchmarks
