// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The exact ways from the working form to a file space: slow, in double precision or by Little CMS, thread-safe.

#include "engine/colour/conversion_table.h"
#include "engine/colour/correction.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

/// By Little CMS. Throws UnreadableInput where it cannot.
ExactWay plain_way(const Profile& from, const Profile& file_space, const ConversionSettings& settings);

/// `from`, a matrix space, to Lab; there the changes, one after the other; from Lab to the file space: through its
/// matrix, beyond 0..1 where the colour lies outside it, or by Little CMS through its tables.
ExactWay corrected_way(const Profile& from, const LabChanges& changes, const Profile& file_space,
                       const ConversionSettings& settings);

}  // namespace hangtrue::colour
