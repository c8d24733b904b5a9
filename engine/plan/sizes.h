// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How large a picture goes on a medium. Pure arithmetic, thread-safe.

#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/shops/medium.h"

namespace hangtrue::plan {

/// The size that the pixels give at `ppi`, without enlarging: 9504 x 6336 px at 150 ppi are 63.36 x 42.24 in.
base::SizeMm native_size(base::PixelSize picture, base::PixelsPerInch ppi);

/// From where prints are looked at: optics::wall_distance().
struct Hanging {
    std::optional<base::Millimetres> distance;
    std::optional<base::Millimetres> room_depth;
};

/// How a print looks by its picture's detail, to 20/20 vision; a limit missed by less than a tenth is met.
enum class Sharpness {
    unknown,      ///< The detail was not measured, or there is none.
    in_the_hand,  ///< Sharp from optics::hand_distance.
    on_the_wall,  ///< Sharp from where it is looked at, soft in the hand.
    soft,         ///< Soft even from there.
};

struct SizeRow {
    std::string name;                 ///< As the order form says it.
    base::SizeMm size;                ///< In the picture's orientation.
    base::PixelsPerInch picture_ppi;  ///< What the picture itself brings.
    double enlarging = 1;          ///< File pixels a picture pixel at the medium's wanted ppi; 1 or less: none needed.
    base::Millimetres sharp_from;  ///< From here 20/20 vision sees no picture pixel.
    double crop_loss = 0;          ///< Share of the picture that the shape takes away, 0..1.
    bool below_least_ppi = false;  ///< The picture brings less than the medium's least ppi.
    std::optional<std::int64_t> price_cents;
    Sharpness sharpness = Sharpness::unknown;
    base::Millimetres wall_distance;      ///< From where it is looked at.
    base::PixelsPerInch detail_ppi;       ///< As many would hold the same detail; 0 where unknown…
    base::Millimetres detail_sharp_from;  ///< …and from here it is sharp.
};

struct MediumSizes {
    std::string shop, shop_name, medium, medium_name, currency;
    base::PixelsPerInch ppi;                               ///< Wanted by the medium.
    base::SizeMm native;                                   ///< At that ppi, without enlarging.
    std::vector<SizeRow> rows;                             ///< From small to large.
    std::optional<std::size_t> largest_without_enlarging;  ///< Index into rows (bleed and wrap counted).
};

/// Free sizes give rows for a series of usual sides within the medium's limits. `detail_cycles_per_px`: of the picture,
/// as picture::Measured has it; 0: unknown.
MediumSizes sizes_on(const shops::Shop& shop, const shops::Medium& medium, base::PixelSize picture,
                     const Hanging& hanging = {}, double detail_cycles_per_px = 0);

/// "in the hand", "on the wall", "soft", "unknown": one word or two for programs.
std::string sharpness_word(Sharpness sharpness);

}  // namespace hangtrue::plan
