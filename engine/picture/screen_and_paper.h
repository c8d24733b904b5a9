// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A screen's white and a sheet of paper in one photograph: which of them is brighter. Pure, thread-safe.
///
/// A camera's tone curve is not known. Equal light gives equal samples whatever the curve, so that "equal" can be
/// trusted; how far apart two lights are cannot be told exactly, only between bounds.

#include <cstdint>
#include <span>
#include <string>
#include <variant>

#include "engine/base/units.h"

namespace hangtrue::picture {

/// 8-bit sRGB, interleaved, R G B.
struct SmallPhotograph {
    base::PixelSize size;
    std::span<const std::uint8_t> rgb;
};

/// One flat area of it.
struct FlatArea {
    base::PixelRect rect;
    double luminance = 0;       ///< Linear by the sRGB curve, 0..1: the median.
    double uneven_stops = 0;    ///< Between its darkest and its brightest tenth.
    double brightest_code = 0;  ///< Of the channel that is highest, the mean, 0..255.
    double clipped_share = 0;   ///< Of its pixels, at 254 or 255 in some channel.
};

/// Of the photograph in the rectangle. Throws InvalidWish where that holds too little of it.
FlatArea flat_area(const SmallPhotograph& photograph, base::PixelRect rect);

/// The two large, flat, bright areas that stand side by side, the left one first. Throws InvalidWish where there are
/// not just two, saying that they can be given.
struct TwoAreas {
    FlatArea left;
    FlatArea right;
};
TwoAreas found_areas(const SmallPhotograph& photograph);

struct ScreenAndPaper {
    FlatArea screen;
    FlatArea paper;
    double stops = 0;  ///< By how much the screen is brighter; negative: the paper is. A first guess…
    double least = 0;  ///< …which lies between these two, nearer to 0 first.
    double most = 0;
    bool are_equal = false;  ///< Nearer than equal_stops.
};
inline constexpr double equal_stops = 1.0 / 6;

/// Throws InvalidWish where an area is clipped or nearly so, too dark or too uneven to tell by.
ScreenAndPaper compared(const FlatArea& screen, const FlatArea& paper);

}  // namespace hangtrue::picture
