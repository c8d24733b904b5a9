// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A plan: a wish settled. Every number that decides pixels is in it; a picture and a plan give one file.
/// Pure data. Pixel positions count from the file's upper left corner.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/base/units.h"
#include "engine/colour/conversion.h"
#include "engine/colour/correction.h"
#include "engine/optics/values.h"
#include "engine/plan/network.h"
#include "engine/plan/wish.h"
#include "engine/raster/print_writer.h"
#include "engine/sharpen/filter.h"

namespace hangtrue::plan {

/// The version of each way of computing; a changed number here says that pixels may differ.
struct StageVersions {
    int resample = 1;
    int sharpen = 1;
    int colour = 1;
    int edges = 1;
    int dither = 1;
    friend bool operator==(const StageVersions&, const StageVersions&) = default;
};

struct PlannedPicture {
    std::string name;              ///< File name without folder.
    base::Sha256 content;          ///< Of the picture file's bytes.
    base::PixelSize size;          ///< Upright.
    base::Sha256 profile;          ///< Of the profile used (the built-in sRGB where the picture has none).
    bool profile_assumed = false;  ///< The picture had none.
    bool is_neutral = false;       ///< Black-and-white: R = G = B in a grey-balanced file space.
    optics::Noise noise;
    optics::Blur blur;
    std::string copyright;
    std::string author;
};

/// What stands where the picture does not.
enum class Fill { colour, mirror };

/// From the outside in: the file; the fill; the picture's own pixels (`image`).
struct Geometry {
    base::PixelSize file;
    base::PixelRect image;     ///< Where the picture's pixels stand in the file.
    base::RealRect crop;       ///< What of the upright picture fills `image`, exactly; same shape as image.
    Fill fill = Fill::colour;  ///< Outside `image`: mirrored picture (canvas wrap) or flat colour (border, wrap).
    FlatColour fill_colour;
    /// The whole file is mirrored left to right, as the shop wants it (back-printed acrylic), last of all: the
    /// positions here are those before.
    bool mirrored = false;
    base::SizeMm finished;        ///< What hangs, in the file's orientation.
    base::PixelRect finished_px;  ///< Where it stands in the file.
    base::Edges<base::Millimetres> bleed;
    base::Edges<base::Millimetres> wrap;
    base::Edges<base::Millimetres> border;
    base::Millimetres safe_area;
};

enum class Resampling { none, enlarge_encoded, reduce_linear };

struct PlannedSharpening {
    sharpen::Filter filter;
    double acutance_before = 0;
    double acutance_after = 0;
    double largest_gain = 1;
    base::Millimetres design_distance;
    base::Millimetres closest_look;
    std::string reason;
};

/// What was learned of the medium from test prints.
struct PlannedCorrection {
    std::int64_t id = 0;  ///< Of the ledger; 0: none is applied.
    colour::Correction curves = colour::no_correction();
};

/// The light that the print will hang in, and the change of tones that answers it.
struct PlannedLight {
    double lux = 0;                                      ///< On the print; 0: nothing is changed for a light.
    std::string room;                                    ///< In plain words; empty where lux were given.
    double screen_candelas = 0;                          ///< White of the screen that the picture was judged by, cd/m2.
    double paper_reflectance = 0;                        ///< Of the medium's white.
    colour::Correction tones = colour::no_correction();  ///< Without tints.
    bool is_asked() const { return lux > 0; }
    bool changes() const { return is_asked() && tones != colour::no_correction(); }
};

struct PlannedFile {
    raster::FileFormat format = raster::FileFormat::tiff;
    int bits = 8;
    raster::TiffCompression compression = raster::TiffCompression::none;
    bool big_tiff = false;
    /// The shop's limit. JPEG: quality is the highest that fits, 100 first; a TIFF over it is not kept.
    std::optional<std::int64_t> most_bytes;
    std::string name;  ///< As the shop wants it, with extension, without folder.
    bool embed_profile = true;
    std::string format_reason;  ///< Why this format, as a sentence.
};

struct Plan {
    StageVersions versions;
    PlannedPicture picture;
    std::string shop;  ///< Ids, and names as the order form says them.
    std::string shop_name;
    std::string medium;
    std::string medium_name;
    std::string size_name;
    std::string process;
    std::optional<std::int64_t> price_cents;
    std::string currency;
    int quantity = 1;
    int panel = 1;  ///< 1 is the left one.
    int panels = 1;
    base::Millimetres gap;
    base::PixelsPerInch ppi;          ///< Of the file, as its tag says.
    double enlarging = 1;             ///< File pixels a picture pixel, exactly image.width / crop.width.
    base::PixelsPerInch picture_ppi;  ///< What the picture itself brings at this size.
    Geometry geometry;
    PlannedNetwork network;
    Resampling resampling = Resampling::none;
    PlannedSharpening sharpening;
    base::Sha256 file_profile;            ///< Of the file space's profile.
    std::int64_t file_profile_bytes = 0;  ///< Its length: part of the file's, where it is embedded.
    std::string file_space_name;
    colour::ConversionSettings conversion;
    PlannedLight light;
    PlannedCorrection correction;
    PlannedFile file;
    std::vector<std::string> order_choices;  ///< What to choose on the form, in the shop's words.
    /// The number of the test sheet that this file is; 0 for a print. Its samples come from cells, not from the picture
    /// alone: this plan says all else of it.
    std::int64_t test_sheet = 0;
};

}  // namespace hangtrue::plan
