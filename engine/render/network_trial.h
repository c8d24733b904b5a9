// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Tries a network on a few parts of a picture before the picture is enlarged with it.

#include "engine/base/progress.h"
#include "engine/colour/conversion.h"
#include "engine/enlarge/network.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::render {

/// The blur that the network, told `measures`, undoes in the picture (enlarge/undone_blur.h): tried on the four parts
/// of 128 x 128 pixels with the most detail of 25 that lie evenly on it. `working`: from the picture's samples. Reads
/// the picture once, forwards. Bounded memory; the same for any number of threads. Throws UnreadableInput, Cancelled.
double undone_blur_px(const enlarge::Network& network, const enlarge::Measures& measures,
                      const colour::WorkingForm& working, raster::RowReader& picture, int threads,
                      base::Progress& progress);

}  // namespace hangtrue::render
