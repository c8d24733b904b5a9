// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Which profile a file gets, and where the profile of an old plan is found again.

#include <optional>

#include "engine/base/hash.h"
#include "engine/colour/profile.h"
#include "engine/jobs/context.h"
#include "engine/ledger/ledger.h"
#include "engine/plan/settle.h"
#include "engine/shops/medium.h"

namespace hangtrue::jobs {

struct FileSpace {
    colour::Profile profile;
    plan::FileSpaceFacts facts;
};

/// The space that the medium wants its files in; sRGB where the shop has not told. Throws UnreadableInput when the
/// shop's own profile is missing beside the shop file, or no profile.
FileSpace file_space_of(const shops::Medium& medium, const Context& context);

/// What describes the medium's print, where the shop file names it. Throws UnreadableInput as above.
std::optional<colour::Profile> print_profile_of(const shops::Medium& medium, const Context& context);

/// Built in, or kept by the ledger. Throws UnreadableInput when neither knows it.
colour::Profile profile_with(const base::Sha256& hash, const ledger::Ledger& ledger, const std::string& what_for);

}  // namespace hangtrue::jobs
