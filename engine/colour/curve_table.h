// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A curve as a table for SIMD: straight lines between nodes that stand evenly within each octave of the
/// input, 512 to an octave, so that the error is relative and black is as accurate as white. The place in
/// the table is read off the float's own bits. Measured: within 1e-6 of the curve in encoded terms.

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "engine/colour/tone_curve.h"

namespace hangtrue::colour {

struct CurveTable {
    static constexpr int bits_below_node = 23 - 9;  ///< Of a float's 23 bits of mantissa, 9 name the node.

    std::vector<float> values;   ///< At the nodes, one more behind that of input 1.
    std::int32_t first = 0;      ///< The bits of `low`, shifted.
    std::int32_t last = 0;       ///< The index of the node of input 1.
    float low = 0;               ///< Below it the curve runs straight to 0.
    float slope_below = 0;
    float slope_above = 0;       ///< Above input 1.
};

CurveTable table_to_linear(const ToneCurve& curve);
CurveTable table_to_encoded(const ToneCurve& curve);

/// Of red, green and blue; channels of the same curve share one table, and with it the cache.
using CurveTables = std::array<std::shared_ptr<const CurveTable>, 3>;
CurveTables tables_to_linear(const std::array<ToneCurve, 3>& curves);
CurveTables tables_to_encoded(const std::array<ToneCurve, 3>& curves);

}  // namespace hangtrue::colour
