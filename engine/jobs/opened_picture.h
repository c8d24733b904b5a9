// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A picture opened for work: its rows, its profile, and its facts, measured once and then remembered.

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "engine/colour/profile.h"
#include "engine/jobs/context.h"
#include "engine/ledger/ledger.h"
#include "engine/plan/settle.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::jobs {

struct OpenedPicture {
    std::filesystem::path path;
    std::unique_ptr<raster::RowReader> reader;
    colour::Profile profile;  ///< Its own, or the one assumed.
    plan::PictureFacts facts;
    std::vector<std::string> remarks;  ///< Sentences: what was converted on reading.
};

/// Opened with its profile, neither hashed nor measured: `facts.content` and `facts.measured` say nothing. For
/// enlarging and small pictures. `scratch_folder`: where rows may be spilled; beside the output. Throws
/// UnreadableInput, WriteFailed (no room to spill), Cancelled.
OpenedPicture unmeasured_picture(const std::filesystem::path& picture, const std::filesystem::path& scratch_folder,
                                 Context& context, StageSeconds& seconds);

/// The same, hashed, with what `ledger` remembers of it, else measured. Writes nothing: looking leaves no trace.
/// Throws LedgerFailed too.
OpenedPicture opened_picture(const std::filesystem::path& picture, const std::filesystem::path& scratch_folder,
                             const ledger::Ledger& ledger, Context& context, StageSeconds& seconds);

/// Hashes an unmeasured picture and fills in its facts, as opened_picture does it.
void measure(OpenedPicture& picture, const ledger::Ledger& ledger, Context& context);

/// Keeps what was measured, and where the picture was seen: for jobs that make something of it.
void remember_picture(const OpenedPicture& picture, ledger::Ledger& ledger);

/// Where the data folder keeps its ledger; ledger::Ledger makes it when it is missing.
std::filesystem::path ledger_file(const Context& context);

colour::SourceModel source_model(raster::SampleModel model);

}  // namespace hangtrue::jobs
