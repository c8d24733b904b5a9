// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/verify.h"

#include <span>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/jobs/lossy.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/plan_files.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/profiles.h"
#include "engine/jobs/records.h"
#include "engine/render/grid.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

/// By path; else that of a file of the same content, wherever it has moved and whatever it is called now.
std::optional<ledger::Row> record_of(const fs::path& file, const ledger::Ledger& ledger, Context& context) {
    if (auto row = ledger.row_of_file(fs::absolute(file))) return row;
    return ledger.row_of_content(base::sha256_of_file(file, context.progress));
}

}  // namespace

Verified verify(const fs::path& file, const std::optional<fs::path>& plan_file, Context& context) {
    const base::Descriptor descriptor = base::opened_for_reading(file);
    ledger::Ledger ledger(ledger_file(context));
    recovered_records(ledger, context);
    // A plan that is given stands in the record's place.
    const auto row = plan_file ? std::nullopt : record_of(file, ledger, context);
    if (!row && !plan_file) {
        throw base::InvalidWish("The ledger has no record of " + file.string() +
                                ". Give the plan it was made by with --plan, or the right ledger with --data.");
    }
    const plan::Plan plan = plan_file ? plan_from_file(*plan_file) : plan_of_record(*row);
    const colour::Profile profile = profile_with(plan.file_profile, ledger, file.string());

    Verified verified;
    verified.file = file;
    verified.ledger_id = row ? row->id : 0;
    render::SampleRecord read(plan.geometry.file, plan.file.bits);
    bool right_size = true;
    const std::size_t row_bytes =
        static_cast<std::size_t>(plan.geometry.file.width) * 3 * static_cast<std::size_t>(plan.file.bits / 8);
    raster::FoundFile found;
    try {
        found = raster::read_back(
            descriptor.get(), file, render::block_height,
            [&](int first, int count, std::span<const std::byte> samples) {
                right_size = right_size && first + count <= plan.geometry.file.height &&
                             samples.size() == static_cast<std::size_t>(count) * row_bytes;
                if (right_size) read.take_band(first / render::block_height, samples);
            },
            context.progress);
    } catch (const base::UnreadableInput& error) {
        // A file that was ours and cannot be read any more has changed: that is what verifying is for.
        if (!row) throw;
        verified.differences.push_back(error.what());
        return verified;
    }
    verified.sha256 = found.sha256;
    verified.bytes = found.bytes;
    verified.differences = tag_differences(found, plan, print_tags(plan, profile));
    if (row) {
        verified.samples_compared = right_size;
        const bool same_bytes = found.sha256 == row->file_hash;
        if (plan.file.format == raster::FileFormat::tiff && !(read.whole() == row->samples)) {
            verified.differences.push_back("Its pixels are not those that were made.");
        } else if (!same_bytes && verified.differences.empty()) {
            verified.differences.push_back(plan.file.format == raster::FileFormat::jpeg
                                               ? "Its bytes are not those that were made, so its pixels may differ too."
                                               : "Its pixels are the same, but its bytes are not those that were made: "
                                                 "another program wrote it again.");
        }
    }
    verified.matches = verified.differences.empty();
    return verified;
}

std::vector<ledger::Row> ledger_rows(const std::string& search, int most, Context& context) {
    ledger::Ledger ledger(ledger_file(context));
    recovered_records(ledger, context);
    return ledger.rows(search, most);
}

ledger::Row ledger_row(std::int64_t id, Context& context) {
    ledger::Ledger ledger(ledger_file(context));
    recovered_records(ledger, context);
    auto row = ledger.row(id);
    if (!row)
        throw base::InvalidWish("The ledger has no record number " + std::to_string(id) +
                                ". See `hangtrue ledger list`.");
    return *std::move(row);
}

}  // namespace hangtrue::jobs
