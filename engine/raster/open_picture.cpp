// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "engine/raster/jpeg_rows.h"
#include "engine/raster/picture_file.h"
#include "engine/raster/png_rows.h"
#include "engine/raster/row_reader.h"
#include "engine/raster/tiff_rows.h"
#include "engine/raster/turned_rows.h"

namespace hangtrue::raster {
namespace {

using namespace std::string_view_literals;

/// What else people take for a picture: the first bytes, where they stand, and what the file is.
struct OtherKind {
    std::size_t offset;
    std::string_view magic;
    const char* name;
};
constexpr std::array other_kinds{
    OtherKind{4, "ftypheic"sv, "an HEIC photograph"},
    OtherKind{4, "ftypheix"sv, "an HEIC photograph"},
    OtherKind{4, "ftypmif1"sv, "an HEIF photograph"},
    OtherKind{4, "ftypavif"sv, "an AVIF picture"},
    OtherKind{4, "ftypcrx "sv, "a raw camera file"},
    OtherKind{8, "WEBP"sv, "a WebP picture"},
    OtherKind{0, "GIF8"sv, "a GIF picture"},
    OtherKind{0, "BM"sv, "a BMP picture"},
    OtherKind{0, "8BPS"sv, "a PSD document"},
    OtherKind{0, "%PDF"sv, "a PDF document"},
    OtherKind{0, "FUJIFILM"sv, "a raw camera file"},
    OtherKind{0, "IIU\0"sv, "a raw camera file"},
    OtherKind{0, "IIRO"sv, "a raw camera file"},
    OtherKind{0, "\xff\x0a"sv, "a JPEG XL picture"},
    OtherKind{4, "JXL "sv, "a JPEG XL picture"},
    OtherKind{4, "jP  "sv, "a JPEG 2000 picture"},
    OtherKind{0, "\x76\x2f\x31\x01"sv, "an OpenEXR picture"},
};

base::UnreadableInput no_picture(const PictureFile& file, std::string_view start) {
    for (const OtherKind& kind : other_kinds) {
        if (start.size() > kind.offset && start.substr(kind.offset).starts_with(kind.magic)) {
            return refused(file.name(), std::string("it is ") + kind.name +
                                            ". Save it as a TIFF (or as a JPEG of the best quality) in your editor.");
        }
    }
    return refused(file.name(), "it is not a TIFF, JPEG or PNG picture, whatever its name says.");
}

StoredPicture open_stored(const std::filesystem::path& name) {
    const auto file = std::make_shared<const PictureFile>(name);
    std::array<std::byte, 16> bytes{};
    const std::size_t length = static_cast<std::size_t>(std::min<std::int64_t>(file->size(), bytes.size()));
    file->read_at(std::span(bytes).first(length), 0);
    const std::string_view start(reinterpret_cast<const char*>(bytes.data()), length);
    if (start.starts_with("\xff\xd8\xff"sv)) return open_jpeg(file);
    if (start.starts_with("\x89PNG\r\n\x1a\n"sv)) return open_png(file);
    for (const std::string_view magic : {"II*\0"sv, "MM\0*"sv, "II+\0"sv, "MM\0+"sv}) {
        if (start.starts_with(magic)) return open_tiff(file);
    }
    throw no_picture(*file, start);
}

}  // namespace

base::PixelsPerInch stated_ppi(double across, double down) {
    constexpr double most = 1e6;
    const bool is_one_number = across > 0 && across < most && std::abs(across - down) <= 1e-3 * across;
    return {is_one_number ? across : 0};
}

std::unique_ptr<RowReader> open_picture(const std::filesystem::path& file, const OpenOptions& options,
                                        base::Progress& progress) {
    return turned_upright(open_stored(file), options, progress);
}

PictureInfo picture_info(const std::filesystem::path& file) {
    PictureInfo info = open_stored(file).info;
    info.size = upright(info.size, info.orientation);
    return info;
}

}  // namespace hangtrue::raster
