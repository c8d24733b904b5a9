// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Designing the output sharpening: the gain that gives back what print, enlarging and picture take away,
/// where the eye can see it, and nothing beyond. Pure mathematics, thread-safe.

#include <string>

#include "engine/base/units.h"
#include "engine/optics/values.h"
#include "engine/sharpen/filter.h"

namespace hangtrue::sharpen {

struct Situation {
    double print_f50_cycles_per_mm = 0;  ///< Where the medium's MTF is one half (its blur class, or measured).
    base::PixelsPerInch ppi{};           ///< Of the file.
    double enlarging = 1;                ///< File pixels a picture pixel; under 1 the picture is reduced.
    double by_network = 1;               ///< Of that, what a network does; the resampler does the rest.
    optics::Blur picture_blur{};         ///< In picture pixels; what a network takes of it is left out.
    optics::Noise picture_noise{};
    base::Millimetres design_distance{};
    base::Millimetres closest_look{};
    double strength = 1;              ///< 1 = as computed; `--sharpen N%` is N/100.
    std::string surface = "a print";  ///< For the sentence: "Sharpened for canvas seen from 0.9 m: …".
};

struct Design {
    Filter filter;
    double acutance_before = 0;  ///< Simulated at the closest likely look, without the filter…
    double acutance_after = 0;   ///< …and with it; 1 = nothing lost.
    double largest_gain = 1;     ///< Of the linear part; the limit is 3.
    std::string reason;          ///< A sentence for ticket and JSON.
};

inline constexpr double gain_limit = 3.0;

/// The whole chain without the filter: print * enlarging * picture, at `cycles_per_px` of the file. The resampler takes
/// of the finest that the picture holds, a network nothing (measured: docs/enlarging.md).
double chain_mtf(const Situation& situation, double cycles_per_px);

/// Where the picture's own pixels end, in cycles a file pixel: 0.5, or 0.5 / enlarging. With a network, too: what it
/// puts beyond is likely, not known, and is not made stronger.
double content_limit(const Situation& situation);

/// Edge acutance of the simulated print (chain * filter) seen from `distance`, as a share of that of the same
/// pixels shown without any blur: nothing above content_limit() can be lost, so nothing above it is counted.
double simulated_acutance(const Situation& situation, const Filter& filter, base::Millimetres distance);

/// Throws nothing; a situation that loses nothing the eye can see gets an empty filter.
Design designed(const Situation& situation);

}  // namespace hangtrue::sharpen
