// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/sizes.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/optics/vision.h"
#include "engine/plan/crop.h"
#include "engine/plan/edges.h"
#include "engine/plan/grid.h"

namespace hangtrue::plan {
namespace {

using base::Millimetres;
using base::SizeMm;

/// Long sides that people hang, in centimetres: common practice, no source.
constexpr std::array<int, 16> usual_long_sides_cm{20, 25, 30, 40, 45, 50, 60, 75, 80, 90, 100, 120, 150, 180, 200, 240};

SizeMm in_orientation_of(base::PixelSize picture, SizeMm size) {
    const bool turn = (picture.width >= picture.height) != (size.width >= size.height);
    return turn ? SizeMm{size.height, size.width} : size;
}

/// In the picture's own shape, to the millimetre.
std::vector<SizeMm> free_rows(const shops::FreeSizes& limits, base::PixelSize picture) {
    const double shape =
        static_cast<double>(std::max(picture.width, picture.height)) / std::min(picture.width, picture.height);
    std::vector<SizeMm> rows;
    for (const int long_side : usual_long_sides_cm) {
        const Millimetres longer{10.0 * long_side};
        const Millimetres shorter{std::round(longer.value / shape)};
        if (shorter < limits.least_side || shorter > limits.most_short_side || longer > limits.most_long_side) continue;
        rows.push_back(in_orientation_of(picture, {longer, shorter}));
    }
    return rows;
}

/// The units of sentences that nobody reads: a size that cannot be made is left out.
constexpr auto no_sentence = base::ShownUnits::inches;

/// Throws InvalidWish where the shop's numbers leave no print of that size.
SizeRow row_of(const shops::Medium& medium, base::PixelSize picture, const OrderedSize& size) {
    const EdgePlan edges = edges_of(Wish{}, medium, size, no_sentence);
    const Geometry geometry = geometry_of(edges, medium.ppi.wanted, no_sentence);
    const auto crop = fitted_crops(CropAround{}, picture, print_grid(geometry, medium.ppi.wanted, 1, {})).front();
    SizeRow row;
    row.name = size.name;
    row.size = size.ordered;
    row.enlarging = geometry.image.width / crop.width;
    row.picture_ppi = {medium.ppi.wanted.value / row.enlarging};
    row.sharp_from = optics::sharp_from(row.picture_ppi);
    row.crop_loss = 1 - share_kept(CropAround{}, picture, size.ordered.width.value, size.ordered.height.value);
    row.below_least_ppi = medium.ppi.least && row.picture_ppi < *medium.ppi.least;
    row.price_cents = size.price_cents;
    return row;
}

void set_sharpness(SizeRow& row, const Hanging& hanging, double detail_cycles_per_px) {
    row.wall_distance = optics::wall_distance(row.size, hanging.distance, hanging.room_depth);
    if (!(detail_cycles_per_px > 0)) return;
    row.detail_ppi = optics::detail_ppi(row.picture_ppi, detail_cycles_per_px);
    row.detail_sharp_from = optics::sharp_from(row.detail_ppi);
    row.sharpness = optics::is_sharp(row.detail_ppi, optics::hand_distance) ? Sharpness::in_the_hand
                    : optics::is_sharp(row.detail_ppi, row.wall_distance)   ? Sharpness::on_the_wall
                                                                            : Sharpness::soft;
}

double area(const SizeRow& row) { return row.size.width.value * row.size.height.value; }

}  // namespace

SizeMm native_size(base::PixelSize picture, base::PixelsPerInch ppi) {
    return {base::length_of(picture.width, ppi), base::length_of(picture.height, ppi)};
}

MediumSizes sizes_on(const shops::Shop& shop, const shops::Medium& medium, base::PixelSize picture,
                     const Hanging& hanging, double detail_cycles_per_px) {
    MediumSizes result;
    result.shop = shop.id;
    result.shop_name = shop.name;
    result.medium = medium.id;
    result.medium_name = medium.name;
    result.currency = shop.currency;
    result.ppi = medium.ppi.wanted;
    result.native = native_size(picture, medium.ppi.wanted);

    std::vector<OrderedSize> sizes;
    for (const auto& size : medium.sizes) {
        const OrderedSize listed = ordered_size(size);
        const bool fits = in_orientation_of(picture, listed.ordered) == listed.ordered;
        sizes.push_back(fits ? listed : turned(listed));
    }
    if (medium.free_sizes) {
        for (const SizeMm size : free_rows(*medium.free_sizes, picture)) {
            if (shops::find_size(medium, size) == nullptr) sizes.push_back(ordered_size(medium, size, no_sentence));
        }
    }
    for (const auto& size : sizes) {
        try {
            result.rows.push_back(row_of(medium, picture, size));
            set_sharpness(result.rows.back(), hanging, detail_cycles_per_px);
        } catch (const base::InvalidWish&) {
            // A size that cannot be made (a face smaller than its wrap, say) is no size to choose.
        }
    }
    std::stable_sort(result.rows.begin(), result.rows.end(),
                     [](const SizeRow& a, const SizeRow& b) { return area(a) < area(b); });
    for (std::size_t i = 0; i < result.rows.size(); ++i) {
        if (result.rows[i].enlarging <= 1 + 1e-9) result.largest_without_enlarging = i;
    }
    return result;
}

std::string sharpness_word(Sharpness sharpness) {
    switch (sharpness) {
        case Sharpness::unknown: return "unknown";
        case Sharpness::in_the_hand: return "in the hand";
        case Sharpness::on_the_wall: return "on the wall";
        case Sharpness::soft: return "soft";
    }
    return "";
}

}  // namespace hangtrue::plan
