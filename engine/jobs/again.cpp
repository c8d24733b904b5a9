// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <set>

#include "engine/jobs/networks.h"
#include "engine/base/error.h"
#include "engine/colour/difference.h"
#include "engine/jobs/older_plan.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/plan_files.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/profiles.h"
#include "engine/jobs/records.h"
#include "engine/jobs/verify.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

/// Looking for a moved picture stops here: a folder with more files is not where one looks by chance.
constexpr int most_files_looked_at = 5000;
/// The same print: no block differs by more (a third of what is just visible).
constexpr double same_print_limit = 0.3;

bool is_the_picture(const fs::path& file, const base::Sha256& content, Context& context) {
    try {
        return base::sha256_of_file(file, context.progress) == content;
    } catch (const base::UnreadableInput&) {
        return false;
    }
}

/// A file of that content somewhere below `folder`; only files that open as a picture of that size are hashed.
std::optional<fs::path> found_below(const fs::path& folder, const plan::PlannedPicture& picture, Context& context) {
    std::error_code status;
    int looked_at = 0;
    for (fs::recursive_directory_iterator it(folder, fs::directory_options::skip_permission_denied, status), end;
         !status && it != end && looked_at < most_files_looked_at; it.increment(status), ++looked_at) {
        context.progress.check();
        if (!it->is_regular_file(status)) continue;
        try {
            if (!(raster::picture_info(it->path()).size == picture.size)) continue;
        } catch (const base::UnreadableInput&) {
            continue;
        }
        if (is_the_picture(it->path(), picture.content, context)) return it->path();
    }
    return std::nullopt;
}

fs::path found_picture(const AgainRequest& request, const ledger::Row& row, const plan::Plan& plan,
                       const ledger::Ledger& ledger, Context& context) {
    if (request.picture) {
        if (fs::is_directory(*request.picture)) {
            if (const auto found = found_below(*request.picture, plan.picture, context)) return *found;
            throw base::UnreadableInput("No picture below " + request.picture->string() + " has the content of " +
                                        plan.picture.name + ".");
        }
        if (is_the_picture(*request.picture, plan.picture.content, context)) return *request.picture;
        throw base::UnreadableInput(request.picture->string() +
                                    " cannot be read, or its content is not that of the picture that was printed (" +
                                    plan.picture.name + ").");
    }
    std::vector<fs::path> places{row.picture_path};
    for (const fs::path& place : ledger.picture_places(plan.picture.content)) places.push_back(place);
    for (const fs::path& place : places) {
        if (is_the_picture(place, plan.picture.content, context)) return place;
    }
    std::set<fs::path> folders;
    for (const fs::path& place : places) folders.insert(place.parent_path());
    for (const fs::path& folder : folders) {
        if (const auto found = found_below(folder, plan.picture, context)) return *found;
    }
    throw base::UnreadableInput("The picture " + row.picture_path +
                                " is not there any more, nor found by its content near there. Say where it is, or "
                                "in which folder to look.");
}

/// dE00 between the blocks' means, the largest.
double largest_difference(const std::vector<std::uint16_t>& before, const std::vector<std::uint16_t>& now,
                          const colour::Profile& profile) {
    if (before.size() != now.size()) return 100;
    const colour::LabReader reader(profile);
    const auto lab = [&](const std::vector<std::uint16_t>& blocks, std::size_t at) {
        return reader.lab({static_cast<float>(blocks[at]) / 65535.0F, static_cast<float>(blocks[at + 1]) / 65535.0F,
                           static_cast<float>(blocks[at + 2]) / 65535.0F});
    };
    double largest = 0;
    for (std::size_t at = 0; at + 2 < before.size(); at += 3) {
        largest = std::max(largest, colour::delta_e_2000(lab(before, at), lab(now, at)));
    }
    return largest;
}

std::string sentence_for(const Again& again, const ledger::Row& row) {
    switch (again.sameness) {
        case Sameness::same_file: return "The same file as record " + std::to_string(row.id) + ", byte for byte.";
        case Sameness::same_pixels:
            return "The same pixels as record " + std::to_string(row.id) + "; only the file's bytes differ.";
        case Sameness::same_print:
            return "The same print as record " + std::to_string(row.id) + ": the largest colour difference is " +
                   base::number_text(again.largest_block_difference, 2) + " (1 is just visible).";
        case Sameness::not_same:
            return "Not the same print as record " + std::to_string(row.id) + ": the largest colour difference is " +
                   base::number_text(again.largest_block_difference, 2) + " (1 is just visible)." +
                   (again.file.empty() ? " Nothing was kept." : "");
    }
    return {};
}

}  // namespace

Again again(const AgainRequest& request, Context& context) {
    ledger::Ledger ledger(ledger_file(context));
    recovered_records(ledger, context);
    const auto row = ledger.row(request.id);
    if (!row) {
        throw base::InvalidWish("The ledger has no record number " + std::to_string(request.id) +
                                ". See `hangtrue ledger list`.");
    }
    const plan::Plan kept = plan_of_record(*row);
    if (kept.test_sheet > 0) {
        throw base::InvalidWish("Record " + std::to_string(request.id) + " is test sheet " +
                                std::to_string(kept.test_sheet) +
                                ", not a print. Make a new one with `hangtrue test sheet`: its cells go by what is "
                                "known today.");
    }
    const plan::Plan plan = carried_out_today(kept);
    Again again;
    again.notice = older_plan_notice(kept);
    const base::Stopwatch stopwatch(again.seconds.whole);
    again.picture = found_picture(request, *row, plan, ledger, context);
    OpenedPicture picture = opened_picture(again.picture, request.to, ledger, context, again.seconds);
    remember_picture(picture, ledger);
    picture.profile = profile_with(plan.picture.profile, ledger, "record " + std::to_string(row->id));
    const colour::Profile file_profile = profile_with(plan.file_profile, ledger, "record " + std::to_string(row->id));
    const PreparedStages prepared(plan, picture.facts.info.model, picture.profile, file_profile,
                                  network_of(plan.network, context));
    refuse_the_picture_itself(again.picture, request.to / plan.file.name);
    WrittenPrint written =
        written_print(print_of_picture(plan, *picture.reader, prepared.stages(), file_profile, context),
                      request.to / plan.file.name, existing_rule(request.replace), context, again.seconds);
    again.likeness = written.likeness;
    if (written.found.sha256 == row->file_hash) {
        again.sameness = Sameness::same_file;
    } else if (written.record.whole() == row->samples) {
        again.sameness = Sameness::same_pixels;
    } else {
        again.largest_block_difference =
            largest_difference(row->fingerprint, written.record.fingerprint(), file_profile);
        again.sameness = again.largest_block_difference <= same_print_limit ? Sameness::same_print : Sameness::not_same;
    }
    if (again.sameness != Sameness::not_same || request.anyway) {
        again.file = request.to / plan.file.name;
        again.ledger_id = named_and_recorded(written, plan, picture, file_profile, ledger, context);
    }
    again.sentence = sentence_for(again, *row);
    if (again.sameness != Sameness::same_file && !again.notice.empty()) again.sentence += " " + again.notice;
    return again;
}

}  // namespace hangtrue::jobs
