// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Wishes in words: where one begins, what becomes of it on another medium, and how it is kept between runs, by what
/// the picture's file holds: renamed or moved, the picture's wish is found again.

#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "engine/base/hash.h"
#include "engine/jobs/context.h"
#include "engine/plan/wish.h"

namespace hangtrue::jobs {

/// A wish as it is written: the words of set_wish_word (make.h) and their values.
using WishWords = std::map<std::string, std::string>;

/// Throws InvalidWish as set_wish_word does.
plan::Wish wish_of(const WishWords& words);

/// The shortest plain text that reads back to the same bits: as wishes are written.
std::string plain_number(double value);
/// "914.4x609.6mm": reads back to the same size.
std::string size_word(base::SizeMm size);

/// Where the order of a picture begins: the shop and medium that are preferred, else the first known; the largest size
/// that needs no enlarging, else the smallest. Empty where no shop with a size is known. Throws UnreadableInput.
WishWords first_words(const std::filesystem::path& picture, const std::string& preferred_shop,
                      const std::string& preferred_medium, Context& context);

/// The same wish on another medium: the size stays where the medium offers it, else the nearest in area is taken;
/// what this medium has no place for (wrap, bleed, its own ppi, a numbered correction) is left to the medium. Pure.
WishWords words_on(WishWords words, const shops::Shop& shop, const shops::Medium& medium);

/// Writes DATA/wishes/HASH.toml, whole or not at all. Throws WriteFailed.
void keep_wish(const base::Sha256& content, const std::string& picture_name, const WishWords& words, Context& context);

/// Nothing where none was kept. Throws UnreadableInput, with line and column, for a file that was damaged or holds a
/// word that no wish has.
std::optional<WishWords> kept_wish(const base::Sha256& content, const Context& context);

}  // namespace hangtrue::jobs
