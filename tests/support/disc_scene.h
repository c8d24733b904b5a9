// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A scene of edges in all directions, and what is left of it at half the size, blurred or not: by plain sums.

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace hangtrue::support {

/// Keys' cubic, a = -1/2 (Keys 1981, IEEE Trans. ASSP 29:1153).
inline double keys_cubic(double t) {
    t = std::abs(t);
    return t < 1 ? 1.5 * t * t * t - 2.5 * t * t + 1 : t < 2 ? -0.5 * t * t * t + 2.5 * t * t - 4 * t + 2 : 0;
}

/// Brightness 0..1.
struct GreyPlane {
    int width = 0;
    int height = 0;
    std::vector<float> floats;
    float& at(int x, int y) { return floats[static_cast<std::size_t>(y * width + x)]; }
    float nearest(int x, int y) const {
        return floats[static_cast<std::size_t>(std::clamp(y, 0, height - 1) * width + std::clamp(x, 0, width - 1))];
    }
};

/// Discs of any size and brightness.
inline GreyPlane discs(int width, int height, std::mt19937_64& random) {
    GreyPlane plane{width, height, std::vector<float>(static_cast<std::size_t>(width * height), 0.5f)};
    std::uniform_real_distribution<double> share(0, 1);
    for (int disc = 0; disc < width * height / 200; ++disc) {
        const double x = share(random) * width;
        const double y = share(random) * height;
        const double radius = 3 + 20 * share(random) * share(random);
        const auto value = static_cast<float>(share(random));
        const int reach = static_cast<int>(radius) + 1;
        for (int j = std::max(0, static_cast<int>(y) - reach); j < std::min(height, static_cast<int>(y) + reach); ++j) {
            for (int i = std::max(0, static_cast<int>(x) - reach); i < std::min(width, static_cast<int>(x) + reach);
                 ++i) {
                if (std::hypot(i - x, j - y) < radius) plane.at(i, j) = value;
            }
        }
    }
    return plane;
}

/// Smaller by two with the antialiased cubic, then blurred by a Gaussian of `sigma` small pixels.
inline GreyPlane halved(const GreyPlane& large, double sigma) {
    const int width = large.width / 2;
    const int height = large.height / 2;
    GreyPlane small{width, height, std::vector<float>(static_cast<std::size_t>(width * height))};
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            double sum = 0;
            for (int j = -3; j <= 4; ++j) {
                for (int i = -3; i <= 4; ++i) {
                    sum += keys_cubic((i - 0.5) / 2) / 2 * keys_cubic((j - 0.5) / 2) / 2 *
                           static_cast<double>(large.nearest(2 * x + i, 2 * y + j));
                }
            }
            small.at(x, y) = static_cast<float>(sum);
        }
    }
    if (sigma == 0) return small;
    GreyPlane blurred = small;
    const int reach = static_cast<int>(std::ceil(4 * sigma));
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            double sum = 0;
            double weights = 0;
            for (int j = -reach; j <= reach; ++j) {
                for (int i = -reach; i <= reach; ++i) {
                    const double weight = std::exp(-(i * i + j * j) / (2 * sigma * sigma));
                    sum += weight * static_cast<double>(small.nearest(x + i, y + j));
                    weights += weight;
                }
            }
            blurred.at(x, y) = static_cast<float>(sum / weights);
        }
    }
    return blurred;
}

}  // namespace hangtrue::support
