// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Prices: cents, never fractions of them. Pure, thread-safe.

#include <optional>
#include <string>
#include <string_view>

#include "engine/shops/medium.h"

namespace hangtrue::shops {

/// "24.90", "24.9" or "24", exactly; nothing for anything else (a third decimal, a comma, a minus
/// sign).
std::optional<Price> parse_price(std::string_view text);

/// "24.90".
std::string price_text(Price price);

}  // namespace hangtrue::shops
