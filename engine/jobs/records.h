// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From a written print to its name and its record, so that a kill at any moment leaves both whole.

#include <filesystem>
#include <string>
#include <vector>

#include "engine/jobs/context.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/ledger/ledger.h"

namespace hangtrue::jobs {

/// Notes the intention, names the file, records it. Returns the record's id. Throws WriteFailed (the intention
/// is dropped, unless the file has its name but the drive has not confirmed it), LedgerFailed, and Cancelled before
/// anything was done; from then on it goes through.
std::int64_t named_and_recorded(WrittenPrint& written, const plan::Plan& plan, const OpenedPicture& picture,
                                const colour::Profile& file_profile, ledger::Ledger& ledger, Context& context);

/// Looks after intentions that a kill left open: a file that stands whole under its name is recorded, the rest is
/// dropped. Returns a sentence for each file that was recorded.
std::vector<std::string> recovered_records(ledger::Ledger& ledger, Context& context);

}  // namespace hangtrue::jobs
