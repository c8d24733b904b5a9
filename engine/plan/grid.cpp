// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/grid.h"

#include <cmath>

#include "engine/base/error.h"
#include "engine/plan/limits.h"
#include "engine/plan/words.h"

namespace hangtrue::plan {
namespace {

/// What `edges` leave of the file; each edge at the nearest pixel, counted from the upper left
/// corner.
base::PixelRect inset(base::SizeMm file, const base::Edges<base::Millimetres>& edges, base::PixelsPerInch ppi) {
    const auto px = [ppi](base::Millimetres length) { return static_cast<int>(nearest_px(length, ppi)); };
    const int left = px(edges.left);
    const int top = px(edges.top);
    return {left, top, px(file.width - edges.right) - left, px(file.height - edges.bottom) - top};
}

}  // namespace

double nearest_px(base::Millimetres length, base::PixelsPerInch ppi) {
    // Half pixels go up, also those that inches and millimetres miss by the rounding of doubles.
    return std::floor(base::pixels(length, ppi) + 0.5 + 1e-6);
}

Geometry geometry_of(const EdgePlan& edges, base::PixelsPerInch ppi, base::ShownUnits units) {
    const double width = nearest_px(edges.file.width, ppi);
    const double height = nearest_px(edges.file.height, ppi);
    if (!(width >= 1 && height >= 1)) {
        throw base::InvalidWish("A print of " + in_both_units(edges.file, units) + " at " + ppi_text(ppi) +
                                " ppi has no pixels: choose a larger size.");
    }
    if (width > most_file_side_px || height > most_file_side_px) {
        throw base::InvalidWish("A print of " + in_both_units(edges.file, units) + " at " + ppi_text(ppi) +
                                " ppi has more than " + std::to_string(most_file_side_px) +
                                " pixels a side, more than can be made: choose a smaller size or a lower --ppi.");
    }
    Geometry geometry;
    geometry.file = {static_cast<int>(width), static_cast<int>(height)};
    geometry.image = inset(edges.file, edges.to_image, ppi);
    geometry.finished_px = inset(edges.file, edges.to_face, ppi);
    if (geometry.image.empty() || geometry.finished_px.empty()) {
        throw base::InvalidWish("Border, bleed and wrap leave no picture on a print of " +
                                in_both_units(edges.finished, units) + ": make them narrower or choose a larger size.");
    }
    geometry.fill = edges.fill;
    geometry.fill_colour = edges.fill_colour;
    geometry.finished = edges.finished;
    geometry.bleed = edges.bleed;
    geometry.wrap = edges.wrap;
    geometry.border = edges.border;
    if (geometry.fill == Fill::mirror && !mirror_reaches(geometry)) {
        throw base::InvalidWish("The face, " + in_both_units(edges.finished, units) +
                                ", is smaller than the wrap that would mirror it: ask for a wrap that runs round "
                                "(--wrap round) or a flat colour, or choose a larger size.");
    }
    return geometry;
}

bool mirror_reaches(const Geometry& geometry) {
    const auto& image = geometry.image;
    return image.x <= image.width && geometry.file.width - image.right() <= image.width && image.y <= image.height &&
           geometry.file.height - image.bottom() <= image.height;
}

base::SizeMm group_size(base::SizeMm panel, int panels, base::Millimetres gap) {
    return {panel.width * panels + gap * (panels - 1), panel.height};
}

PrintGrid print_grid(const Geometry& geometry, base::PixelsPerInch ppi, int panels, base::Millimetres gap) {
    return {.image = geometry.image,
            .seen = base::intersection(geometry.image, geometry.finished_px),
            .step = base::pixels(geometry.finished.width + gap, ppi),
            .panels = panels};
}

}  // namespace hangtrue::plan
