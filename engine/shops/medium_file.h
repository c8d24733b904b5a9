// SPDX-License-Identifier: Apache-2.0
#pragma once

/// One [[medium]] of a shop file, read and validated. The inside of shops/shop_file.h.

#include "engine/shops/medium.h"
#include "engine/text/document.h"

namespace hangtrue::shops {

/// Throws UnreadableInput with line and column. Keys that it did not ask for are left to the
/// document's check.
Medium read_medium(text::Table& table);

/// A price written as a number or in quotes: 24.90 or "24.90".
Price read_price(const text::Item& item);

/// [medium.file]: how the shop takes files.
FileRules read_file_rules(text::Table& table, bool& name_rule_told);

}  // namespace hangtrue::shops
