// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/records.h"

#include <chrono>
#include <system_error>

#include "engine/base/error.h"
#include "engine/plan/plan_file.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

/// An intention younger than this may belong to a program that is just naming its file.
constexpr std::chrono::seconds naming_takes_at_most{60};

bool stands_whole(const ledger::Row& row, Context& context) {
    std::error_code status;
    const auto bytes = fs::file_size(row.file_path, status);
    if (status || static_cast<std::int64_t>(bytes) != row.bytes) return false;
    try {
        return base::sha256_of_file(row.file_path, context.progress) == row.file_hash;
    } catch (const base::UnreadableInput&) {
        return false;
    }
}

}  // namespace

std::int64_t named_and_recorded(WrittenPrint& written, const plan::Plan& plan, const OpenedPicture& picture,
                                const colour::Profile& file_profile, ledger::Ledger& ledger, Context& context) {
    ledger::Row row;
    row.made_at = base::timestamp(context.clock.now());
    row.picture_path = fs::absolute(picture.path).string();
    row.picture_content = picture.facts.content;
    row.file_path = fs::absolute(written.file->final_name()).string();
    row.bytes = written.found.bytes;
    row.file_hash = written.found.sha256;
    row.samples = written.record.whole();
    row.fingerprint = written.record.fingerprint();
    row.plan_text = plan::plan_text(plan);
    row.program_version = HANGTRUE_VERSION;
    row.shop = plan.shop;
    row.medium = plan.medium;
    row.size_name = plan.size_name;
    row.picture_name = plan.picture.name;
    row.quantity = plan.quantity;
    row.jpeg_quality = written.lossy ? written.lossy->quality : 0;

    ledger.keep_profile(file_profile.hash(), file_profile.bytes());
    ledger.keep_profile(picture.profile.hash(), picture.profile.bytes());
    context.progress.check();  // the last moment at which cancelling leaves nothing behind
    const std::int64_t id = ledger.note_intention(row);
    context.faults.reached(base::Step::intention_noted);
    try {
        written.file->name_it();
    } catch (...) {
        // A file that stands but whose name the drive has not confirmed is recorded at the next start, if it still
        // stands.
        if (!written.file->is_named()) ledger.drop_intention(id);
        throw;
    }
    ledger.record(id);
    context.faults.reached(base::Step::recorded);
    return id;
}

std::vector<std::string> recovered_records(ledger::Ledger& ledger, Context& context) {
    std::vector<std::string> recovered;
    const std::string still_young = base::timestamp(context.clock.now() - naming_takes_at_most);
    for (const ledger::Row& row : ledger.open_intentions()) {
        if (stands_whole(row, context)) {
            ledger.record(row.id);
            recovered.push_back(
                row.file_path +
                " had been made but not recorded when the program was stopped; it is recorded now, as number " +
                std::to_string(row.id) + ".");
        } else if (row.made_at < still_young) {
            ledger.drop_intention(row.id);
        }
    }
    return recovered;
}

}  // namespace hangtrue::jobs
