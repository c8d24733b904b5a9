// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What is measured of a picture, with the figures that show how it was found.

#include <vector>

#include "engine/base/progress.h"
#include "engine/base/units.h"
#include "engine/picture/measure.h"
#include "engine/picture/noise.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::picture {

struct SpectrumPoint {
    double cycles_per_px = 0;
    double power = 0;  ///< Of the sharpest tiles, of luminance in codes (of 255) squared: white noise of sd s has s^2…
    double noise = 0;  ///< …and what of it is noise, coding included.
};

struct Detail {
    Measured measured;
    double spectrum_cycles_per_px = 0;      ///< The spectrum's own answer, before what earlier enlarging left.
    std::vector<SpectrumPoint> spectrum;    ///< Up to 0.5; empty where there is nothing to tell by.
    std::vector<base::PixelRect> sharpest;  ///< Parts that the answer rests on, strongest first; at most 12.
    std::vector<NoiseAtBrightness> noise_by_brightness;  ///< From dark to light.
};

/// As measured(), with those figures.
Detail detail(raster::RowReader& reader, base::Progress& progress, int threads = 1);

/// How many pixels would hold the same detail: a picture whose structure ends at f has (f / 0.5)^2 of its own.
double true_pixels(base::PixelSize size, double cycles_per_px);

/// The quality of the common JPEG coders (Independent JPEG Group) whose steps are as coarse on the mean; 0 for none.
int jpeg_quality(double jpeg_coding);

}  // namespace hangtrue::picture
