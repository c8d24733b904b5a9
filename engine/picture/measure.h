// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What is measured of a picture once and kept by its content hash.

#include "engine/base/progress.h"
#include "engine/optics/values.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::picture {

struct Measured {
    optics::Noise noise;
    optics::Blur blur;  ///< Of the sharpest parts: 0.29 px or more; 0 where there are no edges to tell by.
    /// As PictureInfo::jpeg_coding, found in the samples of files that are no JPEG but were one once; 0: none, or too
    /// little to tell by. Not looked for in JPEGs, whose files say it.
    double jpeg_coding = 0;
    bool is_neutral = false;   ///< Every pixel grey (R = G = B within one code of 8 bits): a black-and-white picture.
    double clipped_white = 0;  ///< Share of pixels at the top code in some channel…
    double clipped_black = 0;  ///< …and at 0 in all.
    /// The finest real structure: where the expected power of structure in the sharpest tiles equals the noise, in
    /// cycles a pixel, at most 0.5, and at most what earlier enlarging left. 0: nothing to tell by.
    double detail_cycles_per_px = 0;
    double enlarged_before = 1;  ///< How many times its sides were enlarged before, 1.2 to 6; 1: not found to be.
    double halo_overshoot = 0;   ///< Of earlier sharpening: how far edges overshoot, as a share of their contrast.
    double blocking = 1;         ///< Differences across a JPEG's block borders as a multiple of the others.
    friend bool operator==(const Measured&, const Measured&) = default;
};

/// Reads every row once, forwards. Bounded memory. Deterministic for any machine and number of threads. Throws
/// UnreadableInput, Cancelled.
Measured measured(raster::RowReader& reader, base::Progress& progress, int threads = 1);

}  // namespace hangtrue::picture
