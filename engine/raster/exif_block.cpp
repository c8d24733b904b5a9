// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/exif_block.h"

#include "engine/base/error.h"
#include "engine/raster/tiff_directory.h"

namespace hangtrue::raster {

std::vector<std::byte> exif_block(const PrintTags& tags, int dpi) {
    if (tags.author.empty() && tags.copyright.empty()) return {};
    const Rational resolution{static_cast<std::uint32_t>(dpi), 1};
    std::vector<DirectoryEntry> entries;
    entries.push_back(rational_entry(282, resolution));
    entries.push_back(rational_entry(283, resolution));
    entries.push_back(short_entry(296, {2}));  // inch
    if (!tags.author.empty()) entries.push_back(text_entry(315, tags.author));
    if (!tags.copyright.empty()) entries.push_back(text_entry(33432, tags.copyright));
    std::vector<std::byte> block;
    append_text(block, std::string_view("Exif\0\0", 6));
    append_bytes(block, directory_bytes(entries, DirectoryForm::classic));
    constexpr std::size_t most = 65533;  // a segment's length counts its own two bytes
    if (block.size() > most) {
        throw base::WriteFailed(
            "The picture's author and copyright texts are too long for a JPEG. Shorten them in "
            "the picture, or choose TIFF with --format tiff.");
    }
    return block;
}

}  // namespace hangtrue::raster
