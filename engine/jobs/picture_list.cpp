// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/picture_list.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <system_error>

#include "engine/jobs/look.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/tickets.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::jobs {

namespace fs = std::filesystem;

namespace {

double area_of(base::SizeMm size) { return size.width.value * size.height.value; }

}  // namespace

std::optional<LargestSize> largest_without_enlarging(const std::vector<plan::MediumSizes>& media) {
    std::optional<LargestSize> largest;
    for (const plan::MediumSizes& medium : media) {
        if (!medium.largest_without_enlarging) continue;
        const plan::SizeRow& row = medium.rows.at(*medium.largest_without_enlarging);
        if (largest && area_of(row.size) <= area_of(largest->size)) continue;
        largest = LargestSize{medium.shop, medium.shop_name, medium.medium, medium.medium_name, row.name, row.size};
    }
    return largest;
}

bool is_picture_name(const fs::path& file) {
    constexpr std::array<std::string_view, 5> endings{".tif", ".tiff", ".jpg", ".jpeg", ".png"};
    std::string ending = file.extension().string();
    for (char& letter : ending) letter = static_cast<char>(std::tolower(static_cast<unsigned char>(letter)));
    return std::find(endings.begin(), endings.end(), ending) != endings.end() &&
           !file.filename().string().starts_with(".");
}

std::vector<ListedPicture> listed_pictures(const std::vector<fs::path>& pictures, Context& context) {
    std::vector<ListedPicture> list;
    for (PictureSizes& sizes : sizes_by_headers(pictures, "", "", context)) {
        ListedPicture& listed = list.emplace_back();
        listed.path = sizes.picture;
        listed.pixels = sizes.pixels;
        listed.ending = sizes.ending;
        listed.sentence = sizes.sentence;
        if (sizes.ending != Ending::done) continue;
        const Ended end = ended([&] {
            const raster::PictureInfo info = raster::picture_info(sizes.picture);
            listed.bytes = static_cast<std::int64_t>(fs::file_size(sizes.picture));
            listed.bits = info.bits;
            listed.is_grey = info.model == raster::SampleModel::grey;
            listed.has_profile = !info.icc_profile.empty();
        });
        listed.ending = end.ending;
        listed.sentence = end.sentence;
        listed.largest = largest_without_enlarging(sizes.media);
    }
    return list;
}

std::vector<fs::path> pictures_in(const fs::path& folder) {
    std::vector<fs::path> pictures;
    std::error_code error;
    fs::directory_iterator entry(folder, error);
    for (; !error && entry != fs::directory_iterator(); entry.increment(error)) {
        std::error_code ignored;
        if (is_picture_name(entry->path()) && !entry->is_directory(ignored)) pictures.push_back(entry->path());
    }
    if (error) {
        throw base::UnreadableInput("The folder " + folder.string() + " cannot be listed: " + error.message() + ".");
    }
    std::sort(pictures.begin(), pictures.end());
    return pictures;
}

SmallPixels thumbnail(const fs::path& picture, int longest_side, Context& context) {
    StageSeconds seconds;
    OpenedPicture opened = unmeasured_picture(picture, scratch_folder(), context, seconds);
    const base::PixelSize whole = opened.facts.info.size;
    report::SmallPicture small = small_picture(
        opened, {0, 0, static_cast<double>(whole.width), static_cast<double>(whole.height)}, longest_side, context);
    return {small.size, std::move(small.rgb)};
}

}  // namespace hangtrue::jobs
