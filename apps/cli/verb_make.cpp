// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/broken_shops.h"
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "apps/cli/wish_words.h"
#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/make.h"

namespace hangtrue::cli {

namespace {

using base::InvalidWish;
using base::number_text;

std::vector<jobs::MakeRequest> requests_of_list(const Arguments& arguments, const std::string& list) {
    if (!arguments.positionals().empty()) {
        throw InvalidWish("Either pictures or --list: the list names its own pictures.");
    }
    for (const char* option : {"plan", "save-plan"}) {
        if (arguments.has(option)) throw InvalidWish("--list and --" + std::string(option) + " do not go together.");
    }
    if (const auto option = first_wish_option(arguments)) {
        throw InvalidWish("--list and " + *option + " do not go together: the list says it for each print.");
    }
    return jobs::requests_from_list(list, arguments.text("to").value_or("."));
}

std::vector<jobs::MakeRequest> requests_of_options(const Arguments& arguments) {
    const std::vector<std::string>& pictures = arguments.positionals();
    if (pictures.empty()) throw InvalidWish("Say which picture to make, or give a --list FILE.");
    const auto plan = plan_of(arguments);
    std::vector<plan::Wish> wishes;
    if (plan) {
        wishes.emplace_back();
    } else {
        for (const SizedWish& sized : wishes_of(arguments)) wishes.push_back(sized.wish);
    }
    const auto save_plan = arguments.text("save-plan");
    if (pictures.size() * wishes.size() > 1 && (plan || save_plan)) {
        throw InvalidWish(std::string(plan ? "--plan" : "--save-plan") +
                          " is for one print: give one picture and one size.");
    }
    std::vector<jobs::MakeRequest> requests;
    for (const std::string& picture : pictures) {
        for (const plan::Wish& wish : wishes) {
            jobs::MakeRequest request;
            request.picture = picture;
            request.wish = wish;
            request.plan = plan;
            request.to = arguments.text("to").value_or(".");
            if (save_plan) request.save_plan = *save_plan;
            requests.push_back(request);
        }
    }
    return requests;
}

Json json_of(const jobs::MadeFile& made) {
    Json json;
    json["file"] = made.file.string();
    json["width_px"] = made.plan.geometry.file.width;
    json["height_px"] = made.plan.geometry.file.height;
    json["ppi"] = made.plan.ppi.value;
    json["bytes"] = made.bytes;
    json["sha256"] = made.sha256.hex();
    json["verified"] = made.verified;
    json["ticket"] = made.ticket.string();
    json["order_note"] = made.order_note;
    json["ledger_id"] = made.ledger_id;
    json["plan"] = cli::json_of(made.plan);
    json["seconds"] = cli::json_of(made.seconds);
    json["spilled_bytes"] = made.spilled_bytes;
    json["decoder_bytes"] = made.decoder_bytes;
    json["colour"] = {{"path", made.colour_path},
                      {"mean_error_de00", made.colour_error[0]},
                      {"percentile_99_error_de00", made.colour_error[1]},
                      {"largest_error_de00", made.colour_error[2]}};
    json["lossy"] = nullptr;
    if (made.lossy) {
        json["lossy"] = {{"quality", made.lossy->quality},
                         {"mean_de00", made.lossy->mean},
                         {"percentile_99_de00", made.lossy->percentile_99},
                         {"largest_de00", made.lossy->largest}};
    }
    json["likeness"] = cli::json_of(made.likeness);
    json["remarks"] = made.remarks;
    return json;
}

Json json_of(const jobs::MakeOutcome& outcome) {
    Json json;
    json["picture"] = outcome.request.picture.string();
    json["listed_at"] = outcome.request.listed_at.empty() ? Json(nullptr) : Json(outcome.request.listed_at);
    set_ending(json, status_of(outcome.ending), outcome.sentence);
    json["findings"] = cli::json_of(outcome.findings);
    json["files"] = Json::array();
    for (const jobs::MadeFile& made : outcome.files) json["files"].push_back(json_of(made));
    return json;
}

/// Which print a sentence is about; empty where there is but one.
std::string print_named(const jobs::MakeRequest& request, bool is_one_of_several, base::ShownUnits units) {
    const std::string picture = request.picture.filename().string();
    if (!request.listed_at.empty()) return request.listed_at + ", " + picture + ": ";
    if (!is_one_of_several) return {};
    return picture + ", " + base::size_text(request.wish.size, units) + ": ";
}

std::string format_text(const jobs::MadeFile& made) {
    if (made.plan.file.format != raster::FileFormat::jpeg) {
        return "TIFF, " + std::to_string(made.plan.file.bits) + " bits";
    }
    return made.lossy ? "JPEG, quality " + std::to_string(made.lossy->quality) : "JPEG";
}

std::string text_of(const jobs::MadeFile& made, base::ShownUnits units) {
    const plan::Plan& plan = made.plan;
    std::string text = made.file.filename().string() + " is made";
    if (made.verified) text += ", read back and found right";
    text += ": " + plan.picture.name + " on " + plan.medium_name + " from " + plan.shop_name + ", " +
            base::size_text(plan.geometry.finished, units);
    if (plan.panels > 1) text += ", panel " + std::to_string(plan.panel) + " of " + std::to_string(plan.panels);
    text += ".\n";
    std::vector<std::vector<std::string>> rows{
        {"file", made.file.string()},
        {"", pixels_text(plan.geometry.file) + " at " + number_text(plan.ppi.value, 2) + " ppi, " + format_text(made) +
                 ", " + plan.file_space_name + ", " + base::bytes_text(made.bytes)},
    };
    // A job that ended after its file was named may have no ticket.
    if (!made.ticket.empty()) rows.push_back({"ticket", made.ticket.string()});
    if (!made.order_note.empty()) rows.push_back({"order note", made.order_note});
    for (const std::string& choice : plan.order_choices) rows.push_back({"choose", choice});
    rows.push_back({"enlarging", plan.enlarging > 1 ? number_text(plan.enlarging, 2) + " times" : "none"});
    rows.back()[1] += "; the picture itself brings " + number_text(plan.picture_ppi.value, 0) + " ppi";
    if (const std::string words = jobs::enlarging_words(plan, made.likeness); !words.empty()) {
        rows.push_back({"", words});
    }
    if (!plan.sharpening.reason.empty()) rows.push_back({"sharpening", plan.sharpening.reason});
    if (const std::string words = jobs::light_words(plan.light); !words.empty()) rows.push_back({"light", words});
    if (plan.correction.id > 0) {
        rows.push_back({"correction", "number " + std::to_string(plan.correction.id) + ", learned from test prints"});
    }
    if (!plan.file.format_reason.empty()) rows.push_back({"format", plan.file.format_reason});
    for (const std::string& remark : made.remarks) rows.push_back({"remark", remark});
    rows.push_back({"record", std::to_string(made.ledger_id) + " in the ledger"});
    return text + table_text(rows, 2);
}

}  // namespace

Reply make(const Arguments& arguments, jobs::Context& context) {
    const auto list = arguments.text("list");
    auto requests = list ? requests_of_list(arguments, *list) : requests_of_options(arguments);
    for (jobs::MakeRequest& request : requests) {
        request.replace = arguments.has("replace");
        request.anyway = arguments.has("anyway");
    }
    const jobs::MakeSummary summary = jobs::make(requests, context);

    Reply reply;
    std::vector<ExitStatus> statuses;
    Json all_jobs = Json::array();
    std::size_t done = 0;
    for (const jobs::MakeOutcome& outcome : summary.outcomes) {
        statuses.push_back(status_of(outcome.ending));
        all_jobs.push_back(json_of(outcome));
        for (const jobs::MadeFile& made : outcome.files) reply.text += text_of(made, context.units);
        if (outcome.ending == jobs::Ending::done) {
            ++done;
            for (const auto& finding : outcome.findings) reply.text += "  " + finding_line(finding) + "\n";
            reply.text += "\n";
            continue;
        }
        const std::string print = print_named(outcome.request, summary.outcomes.size() > 1, context.units);
        reply.errors.push_back(print + outcome.sentence);
        for (const checks::Finding& finding : checks::stops(outcome.findings, arguments.has("anyway"))) {
            if (outcome.sentence.find(finding.sentence) == std::string::npos) {
                reply.errors.push_back(print + finding_line(finding));
            }
        }
    }
    // One job that made one file is the common case: its keys stand at the top as well.
    if (summary.outcomes.size() == 1 && summary.outcomes.front().files.size() == 1) {
        reply.json.update(all_jobs.front()["files"].front());
        reply.json["files"] = all_jobs.front()["files"];
    }
    reply.json["jobs"] = all_jobs;
    reply.json["order_sheets"] = Json::array();
    for (const auto& sheet : summary.order_sheets) {
        reply.json["order_sheets"].push_back(sheet.string());
        reply.text += "The order sheet for all prints is " + sheet.string() + ".\n";
    }
    reply.json["recovered"] = summary.recovered;
    for (const std::string& sentence : summary.recovered) reply.text += sentence + "\n";
    const std::size_t asked = summary.outcomes.size();
    if (asked > 1 || (asked == 1 && done == 0 && !reply.text.empty())) {
        reply.text += std::to_string(done) + " of " + std::to_string(asked) + " prints made.\n";
    }
    reply.status = combined(statuses);
    add_broken_shops(reply, context);
    return reply;
}

}  // namespace hangtrue::cli
