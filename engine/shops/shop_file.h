// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shop files: TOML headed `format = 1`, one shop a file. Thread-safe.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "engine/shops/medium.h"

namespace hangtrue::shops {

/// The newest format of shop files that this version reads.
inline constexpr int shop_file_format = 1;

/// Throws UnreadableInput with file, line and column: what is wrong and, for an unknown key, the
/// nearest known one. `file_name` is what messages call the file; its stem is the shop's id.
Shop shop_from_text(std::string_view text, const std::string& file_name);
/// Throws UnreadableInput also when the file is missing, a folder or larger than 1 MB.
Shop shop_from_file(const std::filesystem::path& file);

/// A commented file to fill in, for `shop new`: loads as it is, without a medium, everything still to ask.
std::string new_shop_text(const std::string& name);

}  // namespace hangtrue::shops
