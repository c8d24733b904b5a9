// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where wishes and plans end: beyond these a number is a slip of the hand, or a print that nobody
/// can make.

#include "engine/base/units.h"

namespace hangtrue::plan {

inline constexpr int most_quantity = 9999;
inline constexpr int most_panels = 5;
inline constexpr base::Millimetres most_gap{1000};
inline constexpr base::Millimetres least_distance{100};
inline constexpr base::Millimetres most_distance{1'000'000};
inline constexpr double most_sharpening = 3;         ///< 300 %.
inline constexpr base::PixelsPerInch least_ppi{10};  ///< Where the shop has not told.
inline constexpr base::PixelsPerInch most_ppi{2400};
inline constexpr int most_file_side_px = 300'000;  ///< 25 m at 300 ppi.
/// File pixels a picture pixel. Past 2 a finding says so, below the medium's least ppi another one
/// stops; here it ends altogether.
inline constexpr double most_enlarging = 32;
inline constexpr double least_enlarging = 1.0 / 256;

inline constexpr double least_lux = 1;        ///< A candle at a metre.
inline constexpr double most_lux = 100'000;   ///< The sun.
inline constexpr double least_candelas = 10;  ///< Of a screen's white, cd/m2.
inline constexpr double most_candelas = 2000;

}  // namespace hangtrue::plan
