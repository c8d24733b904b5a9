// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Made prints hung to scale on one wall: a picture of what was made.

#include <filesystem>
#include <vector>

#include "engine/jobs/context.h"

namespace hangtrue::jobs {

/// `files`: print files that the ledger knows. Draws what hangs of each (bleed and wrap are not seen) into a PNG; an
/// earlier one of that name is replaced. Throws InvalidWish for a file without a record, UnreadableInput, WriteFailed.
void draw_wall(const std::vector<std::filesystem::path>& files, const std::filesystem::path& out, Context& context);

}  // namespace hangtrue::jobs
