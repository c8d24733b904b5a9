// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A wish: what the photographer asks of one print. May say "auto"; a settled plan (plan.h) never does.
/// Pure data; lengths are millimetres.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "engine/base/units.h"
#include "engine/enlarge/measures.h"

namespace hangtrue::plan {

/// sRGB, 8 bits a channel, as in "#RRGGBB".
struct FlatColour {
    std::array<std::uint8_t, 3> srgb{255, 255, 255};
    friend bool operator==(const FlatColour&, const FlatColour&) = default;
};

/// The largest part of the right shape, its middle as near as may be to this point (0..1 of the upright picture).
struct CropAround {
    double x = 0.5;
    double y = 0.5;
};
/// Set by hand: what shall hang. The plan fits it to the grid's shape about its own middle, never growing it; bleed
/// and wrap take what lies around it.
using Crop = std::variant<CropAround, base::RealRect>;

enum class WrapFill { round, mirror, colour };
struct WrapWish {
    WrapFill fill = WrapFill::mirror;
    FlatColour colour;
};

struct BorderWish {
    base::Edges<base::Millimetres> widths;  ///< Inside the ordered size.
    FlatColour colour;
};

enum class Enlarging { automatic, fine, quick, filter };
enum class FormatWish { automatic, tiff, jpeg };
enum class Intent { perceptual, relative, saturation, absolute };

/// Which of the corrections learned of the medium is applied.
struct CorrectionWish {
    enum class Which { latest, none, numbered };
    Which which = Which::latest;
    std::int64_t id = 0;  ///< Where numbered.
    std::string since;    ///< One learned before that day (YYYY-MM-DD) is a finding; empty: before a year ago.
};

/// The light that the print will hang in.
struct LightWish {
    double lux = 0;
    std::string room;  ///< Its words (optics/light.h), where it was called by its name.
};

struct Wish {
    std::string shop;
    std::string medium;
    base::SizeMm size;  ///< Finished, in either orientation: it follows the upright crop.
    int quantity = 1;
    Crop crop = CropAround{};
    bool bleed = true;             ///< As the medium asks; false: off.
    std::optional<WrapWish> wrap;  ///< Nothing: the medium's own default (mirrored where the photographer makes it).
    std::optional<BorderWish> border;
    int panels = 1;         ///< 1 to 5, side by side, each of `size`.
    base::Millimetres gap;  ///< Between panels as they hang.
    Enlarging enlarging = Enlarging::automatic;
    enlarge::Grain grain = enlarge::Grain::keep;  ///< Where a network enlarges.
    std::optional<double> sharpen;                ///< Nothing: auto, as computed; 0: off; 1: as computed; N% is N/100.
    std::optional<base::Millimetres> distance;    ///< From where it is looked at; nothing: as optics::wall_distance().
    std::optional<base::Millimetres> room_depth;  ///< How far one can step back from the wall; nothing: far enough.
    std::optional<LightWish> light;               ///< Nothing: the file is not changed for it.
    double screen_candelas = 120;                 ///< White of the screen that the picture was judged by, cd/m2.
    CorrectionWish correction;
    Intent intent = Intent::relative;
    bool black_point_compensation = true;
    FormatWish format = FormatWish::automatic;
    std::optional<int> bits;                 ///< 8 or 16; nothing: the deepest that the shop takes.
    std::optional<std::string> compression;  ///< "none", "lzw", "deflate"; nothing: none where the shop takes it.
    std::optional<base::PixelsPerInch> ppi;
};

}  // namespace hangtrue::plan
