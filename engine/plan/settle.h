// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From a wish to plans: sizes, crops, edges, panels, sharpening, format. Looks nothing up: the shop, the
/// medium, the picture's facts and the profiles' hashes are handed in. Pure, thread-safe.

#include <optional>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/base/units_text.h"
#include "engine/picture/measure.h"
#include "engine/plan/network.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/raster/row_reader.h"
#include "engine/shops/medium.h"

namespace hangtrue::plan {

struct PictureFacts {
    std::string file_name;  ///< Without folder.
    base::Sha256 content;
    raster::PictureInfo info;
    picture::Measured measured;
    base::Sha256 profile;          ///< Of the profile that will be used…
    bool profile_assumed = false;  ///< …which was assumed because the picture has none.
};

/// The file space's profile, chosen by jobs from the medium.
struct FileSpaceFacts {
    base::Sha256 profile;
    std::string name;  ///< "sRGB"
    std::int64_t profile_bytes = 0;
};

/// One plan a panel (one for a wish without panels), numbered from the left. Throws InvalidWish with what
/// contradicts what; lengths in its sentence stand in `units` first.
///
/// What is decided here:
/// - A size is turned so that it keeps more of the crop (of the group's shape, where there are panels).
/// - The file's ppi is the wish's, else what the medium wants, even where the picture brings more: the shop's
///   machine has that raster, and less is left to its own scaling.
/// - Bleed inside the ordered size takes from what hangs: `finished` is then smaller than what is ordered.
/// - A side with a border ends the picture there; bleed and wrap on that side take the border's colour.
/// - One sharpening for all panels, for the distance from which the whole group is seen.
/// - `network` enlarges, where there is one and something is enlarged; else the filter.
/// - `correction` is the one that the wish names, looked up by the caller.
/// - Enlarging is allowed up to limits.h's; what is merely too little for the medium is a finding (engine/checks).
std::vector<Plan> settled(const Wish& wish, const shops::Shop& shop, const shops::Medium& medium,
                          const PictureFacts& picture, const FileSpaceFacts& file_space,
                          base::ShownUnits units = base::ShownUnits::inches,
                          const std::optional<NetworkFacts>& network = std::nullopt,
                          const PlannedCorrection& correction = {});

}  // namespace hangtrue::plan
