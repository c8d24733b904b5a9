// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The print file's name, as the shop wants it. Pure, thread-safe.

#include <optional>
#include <string>
#include <string_view>

#include "engine/base/units.h"
#include "engine/plan/wish.h"
#include "engine/shops/medium.h"

namespace hangtrue::plan {

/// What the words of a name rule stand for.
struct NameParts {
    std::string picture;  ///< {picture}: the picture's file name; its ending is dropped.
    std::string shop;     ///< {shop}: the shop's id.
    std::string medium;   ///< {medium}: the medium's id.
    base::SizeMm size;    ///< {size}: "36x24in", or "91.4x61cm" where the inches are not even quarters.
    int width_px = 0;     ///< {width_px}, {height_px}
    int height_px = 0;
    base::PixelsPerInch ppi;  ///< {ppi}
    int panel = 1;            ///< {panel}: "1of3"; always in the name of one of several panels.
    int panels = 1;
    int quantity = 1;  ///< {quantity}
    /// {edges}: "mirror-wrap", "border-20mm"; "plain" without either. Always in the name of a print that has one.
    std::optional<WrapWish> wrap{};
    std::optional<BorderWish> border{};
};

/// The name with `extension` (".tif"): letters, digits, spaces and . - _ ( ) + alone, in ASCII
/// unless the shop takes more; no longer than the shop takes (at most 120 bytes); never empty,
/// hidden or a path. Without a rule:
/// "{picture} {size} {medium}". What a rule lacks of edges and panels comes behind, so that no two such prints share a
/// name. Throws InvalidWish where the rule holds a word that is not known.
std::string file_name(const shops::FileRules& rules, const NameParts& parts, std::string_view extension);

}  // namespace hangtrue::plan
