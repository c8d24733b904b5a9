// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/make.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/looking_over.h"
#include "engine/jobs/networks.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/records.h"
#include "engine/jobs/settled_wish.h"
#include "engine/jobs/tickets.h"
#include "engine/jobs/ways_out.h"
#include "engine/plan/plan_file.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;
constexpr int ticket_picture_px = 900;
constexpr int quality_to_speak_of = 92;

std::string_view path_name(colour::Path path) {
    switch (path) {
        case colour::Path::matrix: return "matrix";
        case colour::Path::table: return "table";
        case colour::Path::exact: return "exact";
    }
    return "?";
}

/// Where the plan of this panel is saved; nothing unless asked for.
std::optional<fs::path> saved_plan_name(const MakeRequest& request, const plan::Plan& plan) {
    if (!request.save_plan || plan.panels == 1) return request.save_plan;
    fs::path name = *request.save_plan;
    name.replace_filename(name.stem().string() + " " + std::to_string(plan.panel) + name.extension().string());
    return name;
}

void save_plan(const MakeRequest& request, const plan::Plan& plan, Context& context) {
    const auto name = saved_plan_name(request, plan);
    if (!name) return;
    const std::string text = plan::plan_text(plan);
    base::write_whole_file(*name, std::as_bytes(std::span(text)), existing_rule(request.replace), context.faults);
}

void add_lossy_remark(MadeFile& made) {
    if (!made.lossy) return;
    const LossyCost& cost = *made.lossy;
    std::string remark = "As a JPEG of quality " + std::to_string(cost.quality) +
                         " its colours differ from the samples by " + base::number_text(cost.mean, 2) +
                         " on average and " + base::number_text(cost.largest, 1) + " at most (1 is just visible).";
    if (cost.quality < quality_to_speak_of) {
        remark += " The shop's limit of " + base::bytes_text(made.plan.file.most_bytes.value_or(0)) +
                  " left no room for more; ask whether it takes larger files.";
    }
    made.remarks.push_back(std::move(remark));
}

MadeFile made_file(const plan::Plan& plan, OpenedPicture& picture, const SettledWish& settled,
                   const MakeRequest& request, ledger::Ledger& ledger, Context& context) {
    MadeFile made;
    made.plan = plan;
    made.file = request.to / plan.file.name;
    std::optional<PreparedStages> prepared;
    {
        const base::Stopwatch stopwatch(made.seconds.open);
        prepared.emplace(plan, picture.facts.info.model, picture.profile, settled.file_profile, settled.network);
    }
    WrittenPrint written =
        written_print(print_of_picture(plan, *picture.reader, prepared->stages(), settled.file_profile, context),
                      made.file, existing_rule(request.replace), context, made.seconds);
    made.bytes = written.found.bytes;
    made.sha256 = written.found.sha256;
    made.verified = true;  // written_print throws otherwise
    made.lossy = written.lossy;
    made.likeness = written.likeness;
    made.spilled_bytes = written.spilled_bytes + picture.reader->spilled_bytes();
    made.decoder_bytes = picture.reader->decoder_bytes();
    made.colour_path = path_name(prepared->conversion().path());
    const colour::PathError error = prepared->conversion().error();
    made.colour_error = {error.mean, error.percentile_99, error.largest};
    made.remarks = picture.remarks;
    add_lossy_remark(made);
    made.ledger_id = named_and_recorded(written, plan, picture, settled.file_profile, ledger, context);
    return made;
}

fs::path ticket_name(const fs::path& file) { return file.parent_path() / (file.stem().string() + " ticket.pdf"); }

void write_ticket(MadeFile& made, const report::SmallPicture& small, bool replace, Context& context) {
    const report::Ticket ticket = ticket_of(made, small, context);
    made.order_note = report::order_note(ticket);
    made.ticket = ticket_name(made.file);
    report::write_ticket(ticket, made.ticket, existing_rule(replace), context.faults);
}

/// Refused before the first pixel: names that are taken, also by another print of the same order.
void refuse_taken_names(const std::vector<plan::Plan>& plans, MakeOutcome& outcome, const std::set<fs::path>& taken) {
    const MakeRequest& request = outcome.request;
    for (const plan::Plan& plan : plans) {
        const fs::path file = request.to / plan.file.name;
        if (taken.contains(file)) {
            outcome.is_name_of_another = true;
            throw base::WriteFailed(file.string() +
                                    " was just made for another print of this order. Make this one by itself, and "
                                    "choose another folder.");
        }
        std::vector<fs::path> names{file, ticket_name(file)};
        if (const auto saved = saved_plan_name(request, plan)) {
            if (!fs::is_directory(base::folder_of(*saved))) {
                throw base::WriteFailed("The folder " + base::folder_of(*saved).string() +
                                        " for the plan does not exist. Make it first.");
            }
            names.push_back(*saved);
        }
        for (const fs::path& name : names) {
            refuse_the_picture_itself(request.picture, name);
            if (!request.replace && fs::exists(name)) {
                throw base::WriteFailed(name.string() + " exists already. Have it replaced, or choose another folder.");
            }
        }
    }
}

/// A wrong name is told before a large picture is read.
void look_up_medium(const plan::Wish& wish, const Context& context) {
    const shops::ShopFolder shops = known_shops(context);
    (void)shops::medium_named(shops::shop_named(shops, wish.shop), wish.medium);
}

void make_one(MakeOutcome& outcome, const std::set<fs::path>& taken, ledger::Ledger& ledger, Context& context) {
    const MakeRequest& request = outcome.request;
    if (!fs::is_directory(request.to)) {
        throw base::WriteFailed("The folder " + request.to.string() +
                                " does not exist. Make it first, or choose another folder.");
    }
    if (!request.plan) look_up_medium(request.wish, context);
    // Each file's whole reaches from the end of the one before (of the first: from here) to its ticket.
    double whole = 0;
    std::optional<base::Stopwatch> stopwatch(whole);
    StageSeconds seconds;
    OpenedPicture picture = opened_picture(request.picture, request.to, ledger, context, seconds);
    remember_picture(picture, ledger);
    SettledWish settled = settled_wish(request.wish, request.plan, picture, ledger, context);
    if (!request.plan) prove_options(settled, request.wish, picture, context);
    if (settled.trial) remember_trial(*settled.trial, picture, ledger);
    outcome.findings = all_findings(settled, request.wish.correction, picture, ledger, context);
    if (const auto stops = checks::stops(outcome.findings, request.anyway); !stops.empty()) {
        outcome.ending = Ending::refused;
        outcome.sentence = stops.front().sentence + (stops.front().way_out.empty() ? "" : " " + stops.front().way_out);
        return;
    }
    refuse_taken_names(settled.plans, outcome, taken);
    // Before the files: from a file's name to its ticket nothing is computed and nothing can be cancelled.
    const base::PixelSize whole_picture = picture.facts.info.size;
    const report::SmallPicture small = small_picture(
        picture, {0, 0, static_cast<double>(whole_picture.width), static_cast<double>(whole_picture.height)},
        ticket_picture_px, context);
    for (const plan::Plan& plan : settled.plans) {
        outcome.files.push_back(made_file(plan, picture, settled, request, ledger, context));
        MadeFile& made = outcome.files.back();
        if (!settled.notice.empty()) made.remarks.push_back(settled.notice);
        if (outcome.files.size() == 1) {
            made.seconds.open += seconds.open;
            made.seconds.measure += seconds.measure;
        }
        save_plan(request, plan, context);
        write_ticket(made, small, request.replace, context);
        stopwatch.reset();
        made.seconds.whole = std::exchange(whole, 0);
        stopwatch.emplace(whole);
    }
}

}  // namespace

MakeSummary make(const std::vector<MakeRequest>& requests, Context& context, PrintsTogether* together) {
    MakeSummary summary;
    std::optional<ledger::Ledger> ledger;
    PrintsTogether of_this_call;
    std::set<fs::path>& made = (together != nullptr ? *together : of_this_call).made;
    const Ended opening = ended([&] {
        ledger.emplace(ledger_file(context));
        summary.recovered = recovered_records(*ledger, context);
    });
    for (const MakeRequest& request : requests) {
        MakeOutcome& outcome = summary.outcomes.emplace_back();
        outcome.request = request;
        const Ended end = opening.ending != Ending::done ? opening : ended([&] {
            context.progress.check();
            make_one(outcome, made, *ledger, context);
        });
        if (end.ending != Ending::done) {
            outcome.ending = end.ending;
            outcome.sentence = end.sentence;
        }
        // A print that may be tried again may then replace what its first try left.
        if (together == nullptr || outcome.ending == Ending::done) {
            for (const MadeFile& file : outcome.files) made.insert(file.file);
        }
    }
    if (together != nullptr) return summary;
    const Ended sheets = ended([&] { summary.order_sheets = write_order_sheets(summary.outcomes, context); });
    if (sheets.ending != Ending::done && !summary.outcomes.empty() && summary.outcomes.back().ending == Ending::done) {
        summary.outcomes.back().ending = sheets.ending;
        summary.outcomes.back().sentence = "The print files were made, but the order sheet was not: " + sheets.sentence;
    }
    return summary;
}

}  // namespace hangtrue::jobs
