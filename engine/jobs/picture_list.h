// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The pictures of a folder at a glance: what their headers say, how large they go, and small pictures of them.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/jobs/context.h"
#include "engine/plan/sizes.h"

namespace hangtrue::jobs {

/// Where a picture goes largest without enlarging, bleed and wrap counted, by area of what hangs.
struct LargestSize {
    std::string shop, shop_name, medium, medium_name;
    std::string size_name;
    base::SizeMm size;  ///< In the picture's orientation.
};
/// Nothing where every size of every medium needs enlarging. The first of several that are as large.
std::optional<LargestSize> largest_without_enlarging(const std::vector<plan::MediumSizes>& media);

struct ListedPicture {
    std::filesystem::path path;
    std::int64_t bytes = 0;
    Ending ending = Ending::done;
    std::string sentence;  ///< Where it cannot be opened: what is wrong.
    base::PixelSize pixels;
    int bits = 8;
    bool is_grey = false;
    bool has_profile = false;
    std::optional<LargestSize> largest;
};

/// By its name's ending: .tif, .tiff, .jpg, .jpeg or .png in any case, and not hidden.
bool is_picture_name(const std::filesystem::path& file);

/// Header facts of the given pictures, in that order. Throws Cancelled.
std::vector<ListedPicture> listed_pictures(const std::vector<std::filesystem::path>& pictures, Context& context);

/// The pictures that lie in the folder itself, by name. Throws UnreadableInput where it cannot be listed.
std::vector<std::filesystem::path> pictures_in(const std::filesystem::path& folder);

/// Interleaved R, G, B, 8-bit sRGB, row by row.
struct SmallPixels {
    base::PixelSize size;
    std::vector<std::uint8_t> rgb;
};
/// The whole picture, upright, reduced to `longest_side` at most. Reads it once. Throws as opening does, Cancelled.
SmallPixels thumbnail(const std::filesystem::path& picture, int longest_side, Context& context);

}  // namespace hangtrue::jobs
