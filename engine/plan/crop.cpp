// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/crop.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/plan/words.h"

namespace hangtrue::plan {
namespace {

using base::PixelSize;
using base::RealRect;

/// The whole of all panels, in file pixels, and where what hangs stands in it.
struct Extent {
    double width, height;
    double seen_x, seen_y, seen_width, seen_height;
};

Extent extent_of(const PrintGrid& grid) {
    const double others = grid.step * (grid.panels - 1);
    return {.width = others + grid.image.width,
            .height = static_cast<double>(grid.image.height),
            .seen_x = static_cast<double>(grid.seen.x - grid.image.x),
            .seen_y = static_cast<double>(grid.seen.y - grid.image.y),
            .seen_width = others + grid.seen.width,
            .seen_height = static_cast<double>(grid.seen.height)};
}

/// Upper left corner in the picture, and picture pixels a file pixel.
struct Place {
    double x, y, scale;
};

/// Ratios like 9504 / 9504.000000000001 are one to one.
double scale_without_dust(double scale) { return std::abs(scale - 1) < 1e-12 ? 1.0 : scale; }

double position(double start, double room, bool whole_pixels) {
    // One to one, a shift of up to half a pixel spares every pixel a resampling.
    if (whole_pixels) start = std::floor(start + 0.5);
    return std::clamp(start, 0.0, std::max(room, 0.0));
}

Place placed(const CropAround& around, PixelSize picture, const Extent& extent) {
    const double scale = scale_without_dust(std::min(picture.width / extent.width, picture.height / extent.height));
    const bool one_to_one = scale == 1;
    const double x = around.x * picture.width - (extent.seen_x + extent.seen_width / 2) * scale;
    const double y = around.y * picture.height - (extent.seen_y + extent.seen_height / 2) * scale;
    return {position(x, picture.width - extent.width * scale, one_to_one),
            position(y, picture.height - extent.height * scale, one_to_one), scale};
}

Place placed(const RealRect& hand, PixelSize picture, const Extent& extent) {
    const double middle_x = hand.x + hand.width / 2;
    const double middle_y = hand.y + hand.height / 2;
    const double left = extent.seen_x + extent.seen_width / 2;
    const double top = extent.seen_y + extent.seen_height / 2;
    const double scale = scale_without_dust(std::min(
        {hand.width / extent.seen_width, hand.height / extent.seen_height, middle_x / left, middle_y / top,
         (picture.width - middle_x) / (extent.width - left), (picture.height - middle_y) / (extent.height - top)}));
    return {std::max(middle_x - left * scale, 0.0), std::max(middle_y - top * scale, 0.0), scale};
}

/// Cuts what the rounding of doubles lets stand out beyond the picture's edge.
void hold_inside(RealRect& crop, PixelSize picture) {
    while (crop.x + crop.width > picture.width) crop.width = std::nextafter(crop.width, 0.0);
    while (crop.y + crop.height > picture.height) crop.height = std::nextafter(crop.height, 0.0);
}

}  // namespace

Crop checked_crop(const Crop& crop, PixelSize picture) {
    if (const auto* around = std::get_if<CropAround>(&crop)) {
        if (!(around->x >= 0 && around->x <= 1 && around->y >= 0 && around->y <= 1)) {
            throw base::InvalidWish(
                "The point to crop around must lie in the picture: two numbers from 0 to 1, such as auto@0.5,0.4.");
        }
        return crop;
    }
    const RealRect hand = std::get<RealRect>(crop);
    const bool finite =
        std::isfinite(hand.x) && std::isfinite(hand.y) && std::isfinite(hand.width) && std::isfinite(hand.height);
    if (!finite || hand.width < 1 || hand.height < 1) {
        throw base::InvalidWish("A crop needs a width and a height of at least one pixel: X,Y,W,H.");
    }
    const double right = hand.x + hand.width;
    const double bottom = hand.y + hand.height;
    if (hand.x < -1 || hand.y < -1 || right > picture.width + 1.0 || bottom > picture.height + 1.0) {
        throw base::InvalidWish("The crop " + base::number_text(hand.x, 2) + "," + base::number_text(hand.y, 2) + "," +
                                base::number_text(hand.width, 2) + "," + base::number_text(hand.height, 2) +
                                " reaches outside the picture, which is " + px_text(picture) + ".");
    }
    RealRect inside;
    inside.x = std::max(hand.x, 0.0);
    inside.y = std::max(hand.y, 0.0);
    inside.width = std::min(right, static_cast<double>(picture.width)) - inside.x;
    inside.height = std::min(bottom, static_cast<double>(picture.height)) - inside.y;
    if (!(inside.width > 0.5) || !(inside.height > 0.5)) {
        throw base::InvalidWish("The crop lies outside the picture, which is " + px_text(picture) + ".");
    }
    return inside;
}

double share_kept(const Crop& crop, PixelSize picture, double width, double height) {
    double shape = static_cast<double>(picture.width) / picture.height;
    if (const auto* hand = std::get_if<RealRect>(&crop)) shape = hand->width / hand->height;
    const double wanted = width / height;
    return std::min(shape / wanted, wanted / shape);
}

std::vector<RealRect> fitted_crops(const Crop& crop, PixelSize picture, const PrintGrid& grid) {
    const Extent extent = extent_of(grid);
    const Place place = std::visit([&](const auto& wished) { return placed(wished, picture, extent); }, crop);
    std::vector<RealRect> crops;
    for (int panel = 0; panel < grid.panels; ++panel) {
        RealRect part{place.x + grid.step * panel * place.scale, place.y, grid.image.width * place.scale,
                      grid.image.height * place.scale};
        hold_inside(part, picture);
        crops.push_back(part);
    }
    return crops;
}

}  // namespace hangtrue::plan
