// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Reading a print file again and holding it against its plan and record; and making it again.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/jobs/context.h"
#include "engine/ledger/ledger.h"
#include "engine/plan/plan.h"
#include "engine/render/likeness.h"

namespace hangtrue::jobs {

struct Verified {
    std::filesystem::path file;
    bool matches = false;
    std::vector<std::string> differences;  ///< Sentences; empty where it matches.
    std::int64_t ledger_id = 0;            ///< 0: no record, held against the plan alone.
    bool samples_compared = false;         ///< With a record: every sample, by digest. A plan alone knows no samples.
    base::Sha256 sha256;
    std::int64_t bytes = 0;
};

/// The record is found by path, then by content; `plan_file` instead of a record where given.
/// Throws UnreadableInput, InvalidWish (no record and no plan).
Verified verify(const std::filesystem::path& file, const std::optional<std::filesystem::path>& plan_file,
                Context& context);

enum class Sameness { same_file, same_pixels, same_print, not_same };

struct Again {
    Sameness sameness = Sameness::not_same;
    std::filesystem::path file;           ///< Under this name where something was made (not for not_same, unless told).
    double largest_block_difference = 0;  ///< dE00 over 64x64 blocks; only computed where the pixels differ.
    std::optional<render::Likeness> likeness;  ///< As in MadeFile.
    std::string sentence;
    std::string notice;             ///< That an older version's way of computing was another; mostly empty.
    std::int64_t ledger_id = 0;     ///< Of the new row; 0 where nothing was made.
    std::filesystem::path picture;  ///< Where the picture was found.
    StageSeconds seconds;
};

struct AgainRequest {
    std::int64_t id = 0;
    std::filesystem::path to;
    /// Where it is now; else where it was, else searched by content beside where it was.
    std::optional<std::filesystem::path> picture;
    bool replace = false;
    bool anyway = false;  ///< Keeps a file that is not the same print.
};
Again again(const AgainRequest& request, Context& context);

/// The ledger's rows for lists; see ledger::Ledger.
std::vector<ledger::Row> ledger_rows(const std::string& search, int most, Context& context);
/// Throws InvalidWish when there is none.
ledger::Row ledger_row(std::int64_t id, Context& context);

}  // namespace hangtrue::jobs
