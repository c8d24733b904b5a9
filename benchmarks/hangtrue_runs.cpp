// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/hangtrue_runs.h"

#include <nlohmann/json.hpp>
#include <stdexcept>

#include "benchmarks/figures.h"

namespace hangtrue::benchmarks {

std::vector<std::string> words_of(const MakeCall& call) {
    return {HANGTRUE_PROGRAM,
            "make",
            call.picture.string(),
            "--shop",
            bench_shop_id,
            "--medium",
            call.medium.id,
            "--size",
            call.medium.size,
            "--to",
            call.to,
            "--data",
            call.data.string(),
            "--replace",
            "--enlarge",
            "filter",  // As the peers do.
            "--anyway",
            "--json"};
}

MakeRun make(const MakeCall& call) {
    MakeRun run;
    run.child = run_child(words_of(call));
    const auto json = nlohmann::json::parse(run.child.output, nullptr, /*allow_exceptions=*/false);
    if (run.child.status != 0 || json.is_discarded() || !json.value("verified", false)) {
        throw std::runtime_error("hangtrue make ended with " + std::to_string(run.child.status) + ": " +
                                 run.child.output);
    }
    const auto& seconds = json.at("seconds");
    run.seconds = {.open = seconds.at("open"),
                   .measure = seconds.at("measure"),
                   .compute = seconds.at("compute"),
                   .write = seconds.at("write"),
                   .sync = seconds.at("sync"),
                   .read_back = seconds.at("read_back"),
                   .whole = seconds.at("whole")};
    run.decoder_bytes = json.at("decoder_bytes");
    run.spilled_bytes = json.at("spilled_bytes");
    run.file = json.at("file").get<std::string>();
    return run;
}

std::string stages_text(const jobs::StageSeconds& seconds) {
    const auto part = [](const char* name, double value) { return std::string(name) + " " + text_of(value, 2); };
    return part("open", seconds.open) + ", " + part("measure", seconds.measure) + ", " +
           part("compute", seconds.compute) + " (of that, its writing thread busy " + text_of(seconds.write, 2) +
           "), " + part("sync", seconds.sync) + ", " + part("read back", seconds.read_back) + ", " +
           part("whole", seconds.whole);
}

}  // namespace hangtrue::benchmarks
