// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A curve for SIMD: as a power where its profile gives it as one, else as a table. Both keep 0 and 1 to the
/// last bit and lie within 1e-6 of the curve, in encoded terms. Thread-safe to read.

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "engine/colour/tone_curve.h"

namespace hangtrue::colour {

/// x < threshold ? slope * x : out_scale * (in_scale * x + in_offset)^exponent + out_offset. A scale and its
/// offset add up to 1.
struct PowerCurve {
    float threshold = 0;
    float slope = 1;
    float in_scale = 1;
    float in_offset = 0;
    float exponent = 1;
    float out_scale = 1;
    float out_offset = 0;
};

/// Straight lines between nodes that stand evenly within each octave of the input, 512 to an octave, so that
/// the error is relative and black is as accurate as white. The place is read off the float's own bits.
struct CurveTable {
    static constexpr int bits_below_node = 23 - 9;  ///< Of a float's 23 bits of mantissa, 9 name the node.

    std::vector<float> values;  ///< At the nodes, one more behind that of input 1.
    std::int32_t first = 0;     ///< The bits of `low`, shifted.
    std::int32_t last = 0;      ///< The index of the node of input 1.
    float low = 0;              ///< Below it the curve runs straight to 0.
    float slope_below = 0;
};

struct FastCurve {
    std::optional<PowerCurve> power;
    CurveTable table;       ///< Empty where the power holds.
    float slope_above = 1;  ///< Above input 1.
};

FastCurve fast_to_linear(const ToneCurve& curve);
FastCurve fast_to_encoded(const ToneCurve& curve);

/// Of red, green and blue; channels of the same curve share one, and with it the cache.
using FastCurves = std::array<std::shared_ptr<const FastCurve>, 3>;
FastCurves fast_to_linear(const std::array<ToneCurve, 3>& curves);
FastCurves fast_to_encoded(const std::array<ToneCurve, 3>& curves);

}  // namespace hangtrue::colour
