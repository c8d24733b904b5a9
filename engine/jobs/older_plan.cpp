// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/older_plan.h"

#include <vector>

namespace hangtrue::jobs {

std::string older_plan_notice(const plan::Plan& plan) {
    const plan::StageVersions today;
    std::vector<std::string> changed;
    const auto compare = [&](int settled, int now, const char* stage) {
        if (settled < now) changed.emplace_back(stage);
    };
    compare(plan.versions.resample, today.resample, "enlarging");
    if (plan.network.doublings > 0) {
        compare(plan.network.version, plan::PlannedNetwork::newest_version, "use of the network");
    }
    compare(plan.versions.sharpen, today.sharpen, "sharpening");
    compare(plan.versions.colour, today.colour, "colour conversion");
    compare(plan.versions.edges, today.edges, "edges");
    compare(plan.versions.dither, today.dither, "dither");
    if (changed.empty()) return {};
    std::string stages;
    for (std::size_t i = 0; i < changed.size(); ++i) {
        stages += (i == 0 ? "" : i + 1 == changed.size() ? " and " : ", ") + changed[i];
    }
    return "The plan was settled by an earlier version of this program, whose " + stages +
           " worked another way: pixels may differ from those made then.";
}

plan::Plan carried_out_today(plan::Plan plan) {
    plan.versions = {};
    plan.network.version = plan::PlannedNetwork::newest_version;
    return plan;
}

}  // namespace hangtrue::jobs
