// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/consistency.h"

#include <array>
#include <cmath>

#include "engine/plan/file_choice.h"
#include "engine/plan/grid.h"
#include "engine/plan/limits.h"
#include "engine/raster/print_writer.h"
#include "engine/text/letters.h"

namespace hangtrue::plan {
namespace {

/// Pixels of the picture by which rounding may let a crop stand out.
constexpr double crop_tolerance_px = 1e-6;
constexpr double relative_tolerance = 1e-9;

bool is_inside(const base::PixelRect& rect, base::PixelSize file) {
    return !rect.empty() && rect.x >= 0 && rect.y >= 0 && rect.x <= file.width - rect.width &&
           rect.y <= file.height - rect.height;
}

bool is_inside(const base::RealRect& rect, base::PixelSize picture) {
    return rect.width > 0 && rect.height > 0 && rect.x >= 0 && rect.y >= 0 &&
           rect.x + rect.width <= picture.width + crop_tolerance_px &&
           rect.y + rect.height <= picture.height + crop_tolerance_px;
}

bool same(double a, double b) { return std::abs(a - b) <= relative_tolerance * std::abs(b); }

bool is_whole(double value) { return value == std::floor(value); }

std::optional<Contradiction> of_geometry(const Plan& plan) {
    const auto& geometry = plan.geometry;
    if (!is_inside(geometry.image, geometry.file)) {
        return Contradiction{"geometry", "image_px", "the image must lie inside the file"};
    }
    if (!is_inside(geometry.finished_px, geometry.file)) {
        return Contradiction{"geometry", "finished_px", "what hangs must lie inside the file"};
    }
    if (!is_inside(geometry.crop, plan.picture.size)) {
        return Contradiction{"geometry", "crop", "the crop must lie inside the picture"};
    }
    const double across = geometry.image.width / geometry.crop.width;
    const double down = geometry.image.height / geometry.crop.height;
    if (!same(across, down)) {
        return Contradiction{"geometry", "crop",
                             "crop and image must have one shape, or the picture would be stretched"};
    }
    if (geometry.fill == Fill::mirror && !mirror_reaches(geometry)) {
        return Contradiction{"geometry", "fill", "the image is smaller than what its mirrored copy must fill"};
    }
    if (!(geometry.finished.width.value > 0) || !(geometry.finished.height.value > 0)) {
        return Contradiction{"geometry", "finished_mm", "what hangs must have a width and a height"};
    }
    if (!same(plan.enlarging, across) || across > most_enlarging || across < least_enlarging) {
        return Contradiction{"scale", "enlarging",
                             "the enlarging must be the image's width over the crop's, and from 1/256 to 32"};
    }
    return std::nullopt;
}

std::optional<Contradiction> of_resampling(const Plan& plan) {
    const auto& geometry = plan.geometry;
    const auto& crop = geometry.crop;
    const bool is_copy = crop.width == geometry.image.width && crop.height == geometry.image.height &&
                         is_whole(crop.x) && is_whole(crop.y);
    const bool fits = plan.resampling == Resampling::none            ? is_copy
                      : plan.resampling == Resampling::reduce_linear ? plan.enlarging < 1
                                                                     : plan.enlarging >= 1;
    if (fits) return std::nullopt;
    return Contradiction{"scale", "resampling", "this way of resampling does not fit the enlarging"};
}

bool is_file_name(const std::string& name, raster::FileFormat format) {
    const std::string ending = format == raster::FileFormat::jpeg ? ".jpg" : ".tif";
    return name.size() > ending.size() && name.size() <= 255 && name.ends_with(ending) && name.front() != '.' &&
           name.find_first_of("/\\\n\r\t") == std::string::npos && text::is_utf8(name);
}

std::optional<Contradiction> of_file(const Plan& plan) {
    const auto& file = plan.file;
    const auto size = plan.geometry.file;
    const bool is_jpeg = file.format == raster::FileFormat::jpeg;
    if (file.bits != 8 && (file.bits != 16 || is_jpeg)) {
        return Contradiction{"file", "bits", "a print file has 8 bits, or 16 as TIFF"};
    }
    if (is_jpeg && (file.compression != raster::TiffCompression::none || file.big_tiff)) {
        return Contradiction{"file", "format", "a JPEG has no TIFF compression and is no BigTIFF"};
    }
    if (is_jpeg && (size.width > most_jpeg_side_px || size.height > most_jpeg_side_px)) {
        return Contradiction{"file", "format", "a JPEG ends at 65500 pixels a side"};
    }
    if (!is_jpeg && !file.big_tiff && size.count() * 3 * (file.bits / 8) > raster::classic_tiff_limit &&
        file.compression == raster::TiffCompression::none) {
        return Contradiction{"file", "big_tiff", "this TIFF would pass 4.29 GB, where a TIFF ends"};
    }
    if (!is_file_name(file.name, file.format)) {
        return Contradiction{"file", "name",
                             "the name must be one file's, without a folder, ending in .tif or .jpg as its "
                             "format says"};
    }
    return std::nullopt;
}

}  // namespace

std::optional<Contradiction> contradiction(const Plan& plan) {
    if (plan.panel > plan.panels) return Contradiction{"order", "panel", "there are fewer panels than that"};
    for (const auto check : {of_geometry, of_resampling, of_file}) {
        if (auto found = check(plan)) return found;
    }
    for (const auto& term : plan.sharpening.filter.terms) {
        if (!(term.sigma_px > 0)) return Contradiction{"sharpening", "sigmas_px", "a sigma must be above zero"};
    }
    if (!colour::is_valid(plan.light.tones)) {
        return Contradiction{"light", "lightness", "a change of tones leaves white and black, and rises all the way"};
    }
    if (!colour::is_valid(plan.correction.curves)) {
        return Contradiction{"correction", "lightness",
                             "a correction leaves white and black, and its tone rises all the way"};
    }
    return std::nullopt;
}

}  // namespace hangtrue::plan
