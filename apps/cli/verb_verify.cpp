// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/json_values.h"
#include "apps/cli/verbs.h"
#include "engine/base/error.h"
#include "engine/jobs/verify.h"

namespace hangtrue::cli {

Reply verify(const Arguments& arguments, jobs::Context& context) {
    const std::vector<std::string>& files = arguments.positionals();
    std::optional<std::filesystem::path> plan;
    if (const auto given = arguments.text("plan")) plan = *given;
    if (plan && files.size() > 1) throw base::InvalidWish("--plan is for one print: give one file.");

    Reply reply;
    std::vector<ExitStatus> statuses;
    reply.json["files"] = Json::array();
    for (const std::string& file : files) {
        jobs::Verified verified;
        const jobs::Ended ended = jobs::ended([&] { verified = jobs::verify(file, plan, context); });
        const bool differs = ended.ending == jobs::Ending::done && !verified.matches;
        const ExitStatus status = differs ? ExitStatus::refused : status_of(ended.ending);
        statuses.push_back(status);

        Json json;
        json["file"] = file;
        set_ending(json, status, differs ? "The file is not what was made." : ended.sentence);
        if (ended.ending == jobs::Ending::done) {
            json["matches"] = verified.matches;
            json["differences"] = verified.differences;
            json["ledger_id"] = verified.ledger_id == 0 ? Json(nullptr) : Json(verified.ledger_id);
            json["samples_compared"] = verified.samples_compared;
            json["sha256"] = verified.sha256.hex();
            json["bytes"] = verified.bytes;
        }
        reply.json["files"].push_back(json);

        if (ended.ending != jobs::Ending::done) {
            reply.errors.push_back(ended.sentence);
        } else if (verified.matches) {
            reply.text += file + (verified.samples_compared
                                      ? " is what was made: every tag and every sample is right.\n"
                                      : " keeps to the plan: every tag is right. Its samples were not compared, for "
                                        "want of a record.\n");
        } else {
            reply.errors.push_back(file + " is not what was made. Make it again; do not send this file.");
            for (const std::string& difference : verified.differences) reply.errors.push_back(difference);
        }
        // After Ctrl-C nobody waits for the rest to say that they were not looked at.
        if (ended.ending == jobs::Ending::cancelled) break;
    }
    reply.status = combined(statuses);
    return reply;
}

}  // namespace hangtrue::cli
