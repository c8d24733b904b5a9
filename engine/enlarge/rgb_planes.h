// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>

namespace hangtrue::enlarge {

/// Three planes of floats with rows `stride` apart.
template <typename Float>
struct RgbPlanes {
    std::array<Float*, 3> planes{};
    std::size_t stride = 0;
};

}  // namespace hangtrue::enlarge
