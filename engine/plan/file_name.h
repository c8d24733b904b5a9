// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The print file's name, as the shop wants it. Pure, thread-safe.

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/units.h"
#include "engine/shops/medium.h"

namespace hangtrue::plan {

/// What the words of a name rule stand for.
struct NameParts {
    std::string picture;  ///< {picture}: the picture's file name; its ending is dropped.
    std::string shop;     ///< {shop}: the shop's id.
    std::string medium;   ///< {medium}: the medium's id.
    base::SizeMm
        size;  ///< {size}: "36x24in", or "91.4x61cm" where the inches are not even quarters.
    int width_px = 0;  ///< {width_px}, {height_px}
    int height_px = 0;
    base::PixelsPerInch ppi;  ///< {ppi}
    int panel = 1;            ///< {panel}: "1of3"; always in the name of one of several panels.
    int panels = 1;
    int quantity = 1;  ///< {quantity}
};

/// The words that a shop's name rule may hold, each in braces.
const std::vector<std::string>& name_words();

/// The name with `extension` (".tif"): letters, digits, spaces and . - _ ( ) + alone, in ASCII
/// unless the shop takes more; no longer than the shop takes (at most 120 bytes); never empty,
/// hidden or a path. Without a rule:
/// "{picture} {size} {medium}". Throws InvalidWish where the rule holds a word that is not known.
std::string file_name(const shops::FileRules& rules, const NameParts& parts,
                      std::string_view extension);

/// Latin letters without their accents (the letters of ISO 8859-1, -2 and -15), "_" for what has no
/// likeness in ASCII; bytes that are no UTF-8 too.
std::string ascii_folded(std::string_view utf8);

/// Whether `text` is well-formed UTF-8 without control characters but line breaks and tabs.
bool is_utf8(std::string_view text);

}  // namespace hangtrue::plan
