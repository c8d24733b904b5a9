// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ledger as a photographer reads it: records with the names that their plans hold, and the order that a record
/// came from. For looking.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/jobs/context.h"
#include "engine/jobs/kept_wishes.h"
#include "engine/ledger/ledger.h"
#include "engine/plan/plan.h"

namespace hangtrue::jobs {

struct ListedRecord {
    ledger::Row row;
    std::string shop_name, medium_name;  ///< As they were called when it was made; IDs where the plan cannot be read.
    std::string picture_name;            ///< The picture's own, of a test sheet too.
    std::optional<base::SizeMm> size;    ///< What hangs; nothing where the plan cannot be read.
    int panel = 1, panels = 1;
    std::int64_t test_sheet = 0;  ///< Its number; 0 for a print.
};

/// Newest first, `most` of them. `search`: part of a picture's, shop's, medium's or size's name or ID (A to Z in either
/// case); empty: all. Throws LedgerFailed, Cancelled.
std::vector<ListedRecord> listed_records(const std::string& search, int most, Context& context);

/// The order that a plan was settled from, as far as a plan tells: shop, medium, size, quantity, crop, edges, border,
/// panels, enlarging, grain, distance, light, intent and format. What was left to be chosen is left so where the plan
/// is what would be chosen. The correction is today's: the latest. A sharpening of some per cent is not told apart
/// from the computed one. `medium`: as the shop's file has it now; null where there is none any more. Pure.
WishWords words_of_plan(const plan::Plan& plan, const shops::Medium* medium);

/// The same for a record, and its picture: where it was last seen of the places that the ledger knows, where it lies at
/// one of them still. Throws InvalidWish where there is no such record, UnreadableInput where its plan cannot be read.
struct RecordedOrder {
    std::filesystem::path picture;
    WishWords words;
};
RecordedOrder order_of_record(std::int64_t id, Context& context);

}  // namespace hangtrue::jobs
