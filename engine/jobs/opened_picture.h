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
    colour::Profile profile;           ///< Its own, or the one assumed.
    plan::PictureFacts facts;
    std::vector<std::string> remarks;  ///< Sentences: what was converted on reading.
};

/// `scratch_folder`: where rows may be spilled; beside the output. Throws UnreadableInput, WriteFailed (no room to
/// spill), LedgerFailed, Cancelled.
OpenedPicture opened_picture(const std::filesystem::path& picture, const std::filesystem::path& scratch_folder,
                             ledger::Ledger& ledger, Context& context, StageSeconds& seconds);

/// Where the data folder keeps its ledger; ledger::Ledger makes it when it is missing.
std::filesystem::path ledger_file(const Context& context);

colour::SourceModel source_model(raster::SampleModel model);

}  // namespace hangtrue::jobs
