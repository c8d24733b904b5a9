// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the verbs' sentences share. Pure, thread-safe.

#include <cstdint>
#include <string>
#include <vector>

#include "engine/checks/checks.h"

namespace hangtrue::cli {

/// Rows of cells under one another, each column as wide as its widest cell, set in by `indent`.
std::string table_text(const std::vector<std::vector<std::string>>& rows, std::size_t indent);

/// "129.00 EUR"
std::string price_text(std::int64_t cents, const std::string& currency);

/// "5400 x 3600 px"
std::string pixels_text(base::PixelSize size);

/// One finding as a line: how grave it is, what it is, what mends it.
std::string finding_line(const checks::Finding& finding);

}  // namespace hangtrue::cli
