// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/broken_shops.h"
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "apps/cli/wish_words.h"
#include "engine/jobs/check_report.h"
#include "engine/jobs/make.h"

namespace hangtrue::cli {

Reply check(const Arguments& arguments, jobs::Context& context) {
    const std::string& picture = arguments.positionals().front();
    Reply reply;
    std::vector<ExitStatus> statuses;
    std::vector<jobs::CheckOutcome> outcomes;
    reply.json["prints"] = Json::array();
    if (const auto report = arguments.text("report")) {
        jobs::expect_free_name(picture, *report, arguments.has("replace"), context);
    }
    for (const SizedWish& sized : wishes_of(arguments)) {
        jobs::CheckOutcome outcome;
        const jobs::Ended ended = jobs::ended([&] { outcome = jobs::check(picture, sized.wish, context); });
        ExitStatus status = status_of(ended.ending);
        if (!checks::stops(outcome.findings, arguments.has("anyway")).empty()) status = ExitStatus::refused;
        statuses.push_back(status);

        Json json;
        json["picture"] = picture;
        json["size"] = sized.size;
        set_ending(json, status, ended.sentence);
        json["findings"] = json_of(outcome.findings);
        json["plans"] = Json::array();
        for (const plan::Plan& plan : outcome.plans) json["plans"].push_back(json_of(plan));
        reply.json["prints"].push_back(json);

        if (!ended.sentence.empty()) {
            reply.errors.push_back(ended.sentence);
            continue;
        }
        const std::string print = std::filesystem::path(picture).filename().string() + ", " + sized.size;
        if (outcome.findings.empty())
            reply.text += print + ": nothing stands in the way of this print.\n";
        else if (status == ExitStatus::refused)
            reply.text += print + ": this print would be refused.\n";
        else
            reply.text += print + ": this print can be made; before you pay:\n";
        for (const checks::Finding& finding : outcome.findings) reply.text += "  " + finding_line(finding) + "\n";
        outcomes.push_back(std::move(outcome));
    }
    if (arguments.has("report") && !outcomes.empty()) {
        const std::string report = arguments.text("report").value_or("");
        const jobs::Ended ended = jobs::ended([&] {
            jobs::write_check_report(picture, outcomes, report, arguments.has("replace"), arguments.has("anyway"),
                                     context);
        });
        if (ended.ending != jobs::Ending::done) {
            statuses.push_back(status_of(ended.ending));
            reply.errors.push_back(ended.sentence);
        } else {
            reply.text += "The page to keep: " + report + "\n";
        }
        reply.json["report"] = ended.ending == jobs::Ending::done ? Json(report) : Json(nullptr);
    }
    reply.status = combined(statuses);
    add_broken_shops(reply, context);
    return reply;
}

}  // namespace hangtrue::cli
