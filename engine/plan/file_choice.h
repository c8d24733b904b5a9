// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Format, depth and compression of the print file, and why. Pure, thread-safe.

#include <cstdint>
#include <string>

#include "engine/base/units.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/raster/print_writer.h"
#include "engine/shops/medium.h"

namespace hangtrue::plan {

/// libjpeg's own end (JPEG_MAX_DIMENSION in jmorecfg.h).
inline constexpr int most_jpeg_side_px = 65500;

/// The tags that decide how many bytes a file has; profile bytes by number only.
raster::PrintTags size_tags(base::PixelSize size, int bits, base::PixelsPerInch ppi, std::int64_t profile_bytes,
                            const std::string& copyright, const std::string& author);

/// The bytes of a TIFF of `file`'s form: exactly where it is not compressed, at most where it is.
std::int64_t tiff_bytes(const PlannedFile& file, raster::PrintTags tags);

/// All of PlannedFile but its name. `tags.bits` is not looked at. Automatic: the deepest TIFF that
/// the shop takes and that fits, else JPEG; BigTIFF where a classic TIFF would pass 4 GiB and the
/// shop takes it. Where nothing surely fits the shop's byte limit and JPEG cannot be, the
/// shallowest, compressed where the shop takes that: whether it fits is seen once it is written; an
/// uncompressed one over the limit is stopped by a finding. Throws InvalidWish where the wish names what the shop does
/// not take, or where the file cannot exist.
PlannedFile chosen_file(const Wish& wish, const shops::Medium& medium, const raster::PrintTags& tags);

}  // namespace hangtrue::plan
