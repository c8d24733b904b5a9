// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Which part of the picture fills the print: real-valued, of the pixel grid's exact shape. Pure,
/// thread-safe.

#include <vector>

#include "engine/base/units.h"
#include "engine/plan/wish.h"

namespace hangtrue::plan {

/// The grid that the picture must fill, in file pixels: equal panels side by side, or one.
struct PrintGrid {
    base::PixelRect image;  ///< Where the picture stands in one panel's file.
    base::PixelRect seen;   ///< The part of `image` that hangs: without bleed and without what is wrapped.
    double step = 0;        ///< From one panel's left edge to the next one's, gap included; real-valued.
    int panels = 1;
};

/// The crop by hand, cut back to the picture where it reaches out by less than a pixel. Throws
/// InvalidWish when it reaches out further or holds less than a pixel, or when the point to crop
/// around lies off the picture.
Crop checked_crop(const Crop& crop, base::PixelSize picture);

/// The share of the picture (or of the crop by hand) that a print of shape `width` : `height`
/// keeps, 0..1.
double share_kept(const Crop& crop, base::PixelSize picture, double width, double height);

/// One crop a panel, from the left. All have one scale, and image.width / crop.width equals
/// image.height / crop.height up to the rounding of doubles.
///
/// Around a point: the largest that the picture holds, as near to the point as the picture's edges
/// allow. By hand: what hangs is the largest part of the hand's crop about its middle; bleed and
/// wrap take what the picture has around it, and only where the picture ends there does the part
/// that hangs get smaller. `crop` has been checked.
std::vector<base::RealRect> fitted_crops(const Crop& crop, base::PixelSize picture, const PrintGrid& grid);

}  // namespace hangtrue::plan
