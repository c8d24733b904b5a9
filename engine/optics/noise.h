// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How noise is spread over the frequencies. Pure mathematics, thread-safe.

#include "engine/optics/values.h"

namespace hangtrue::optics {

/// The standard deviation, of 255, of the white noise that is as dense as `noise` at `cycles_per_px` of its picture:
/// below 0.2 as dense as the coarse part, above 0.42 as the fine one, between them falling or rising evenly.
double noise_as_white(const Noise& noise, double cycles_per_px);

}  // namespace hangtrue::optics
