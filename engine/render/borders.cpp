// SPDX-License-Identifier: Apache-2.0
#include "engine/render/borders.h"

#include <algorithm>

namespace hangtrue::render {
namespace {

/// Which of [0, count) stands at `at`, which may lie anywhere.
int stand_in(int at, int count, Beyond beyond) {
    if (beyond == Beyond::repeated) return std::clamp(at, 0, count - 1);
    const int period = 2 * count;
    const int within = (at % period + period) % period;
    return within < count ? within : period - 1 - within;
}

}  // namespace

void extend(const std::array<float*, 3>& planes, std::size_t stride, base::PixelSize size, base::PixelRect inner,
            Beyond beyond) {
    for (float* plane : planes) {
        const auto row_at = [&](int y) { return plane + static_cast<std::size_t>(y) * stride; };
        for (int y = inner.y; y < inner.bottom(); ++y) {
            float* row = row_at(y);
            const auto from = [&](int x) { return row[inner.x + stand_in(x - inner.x, inner.width, beyond)]; };
            for (int x = 0; x < inner.x; ++x) row[x] = from(x);
            for (int x = inner.right(); x < size.width; ++x) row[x] = from(x);
        }
        const auto from = [&](int y) { return row_at(inner.y + stand_in(y - inner.y, inner.height, beyond)); };
        for (int y = 0; y < inner.y; ++y) std::copy_n(from(y), size.width, row_at(y));
        for (int y = inner.bottom(); y < size.height; ++y) std::copy_n(from(y), size.width, row_at(y));
    }
}

}  // namespace hangtrue::render
