// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The shops of a folder of shop files, and the one that is meant by a name. Thread-safe.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "engine/shops/medium.h"

namespace hangtrue::shops {

/// A shop file that cannot be read.
struct BrokenShopFile {
    std::filesystem::path file;
    std::string sentence;  ///< What is wrong, with file, line and column.
};

/// What a folder of shop files holds. A broken file takes nothing from the others.
struct ShopFolder {
    std::vector<Shop> shops;             ///< By name.
    std::vector<BrokenShopFile> broken;  ///< By file name.
};

/// "*.toml", and not hidden.
bool is_shop_file(const std::filesystem::path& file);

/// Of all shop files in it. A folder that does not exist holds none; throws UnreadableInput when it cannot be listed.
ShopFolder shops_in(const std::filesystem::path& folder);

/// Null where there is no such shop. Throws UnreadableInput where its file is a broken one.
const Shop* find_shop(const ShopFolder& folder, std::string_view id_or_name);

/// Throw InvalidWish naming the nearest known one, and UnreadableInput for a shop whose file is a broken one.
const Shop& shop_named(const ShopFolder& folder, std::string_view id_or_name);
const Medium& medium_named(const Shop& shop, std::string_view id_or_name);

}  // namespace hangtrue::shops
