// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/undone_blur.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "tests/support/random.h"

namespace hangtrue::enlarge {
namespace {

constexpr int width = 96;
constexpr int height = 80;

struct Plane {
    int width = 0;
    int height = 0;
    std::vector<float> floats;
    float& at(int x, int y) { return floats[static_cast<std::size_t>(y * width + x)]; }
    float nearest(int x, int y) const {
        return floats[static_cast<std::size_t>(std::clamp(y, 0, height - 1) * width + std::clamp(x, 0, width - 1))];
    }
};

/// Discs of any size and brightness: edges in all directions, twice as large as the picture.
Plane scene(std::mt19937_64& random) {
    Plane plane{2 * width, 2 * height, std::vector<float>(4 * width * height, 0.5f)};
    std::uniform_real_distribution<double> share(0, 1);
    for (int disc = 0; disc < 150; ++disc) {
        const double x = share(random) * plane.width;
        const double y = share(random) * plane.height;
        const double radius = 3 + 20 * share(random) * share(random);
        const auto value = static_cast<float>(share(random));
        for (int j = 0; j < plane.height; ++j) {
            for (int i = 0; i < plane.width; ++i) {
                if (std::hypot(i - x, j - y) < radius) plane.at(i, j) = value;
            }
        }
    }
    return plane;
}

/// Smaller by two with the cubic, then blurred: what UndoneBlur must find, by plain sums.
Plane taken(const Plane& large, double sigma) {
    const auto keys = [](double t) {  // Keys 1981, a = -1/2.
        t = std::abs(t);
        return t < 1 ? 1.5 * t * t * t - 2.5 * t * t + 1 : t < 2 ? -0.5 * t * t * t + 2.5 * t * t - 4 * t + 2 : 0;
    };
    Plane small{width, height, std::vector<float>(width * height)};
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            double sum = 0;
            for (int j = -3; j <= 4; ++j) {
                for (int i = -3; i <= 4; ++i) {
                    sum += keys((i - 0.5) / 2) / 2 * keys((j - 0.5) / 2) / 2 *
                           static_cast<double>(large.nearest(2 * x + i, 2 * y + j));
                }
            }
            small.at(x, y) = static_cast<float>(sum);
        }
    }
    if (sigma == 0) return small;
    Plane blurred = small;
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

double found(const Plane& small, const Plane& large) {
    UndoneBlur undone;
    base::AlignedFloats scratch;
    undone.add({{small.floats.data(), small.floats.data(), small.floats.data()}, std::size_t{width}}, width, height,
               {{large.floats.data(), large.floats.data(), large.floats.data()}, std::size_t{2 * width}}, scratch);
    return undone.sigma_px();
}

TEST(enlarge_undone_blur, is_the_one_that_lies_between_result_and_picture) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const Plane large = scene(random);
    EXPECT_EQ(found(taken(large, 0), large), 0);
    for (const double sigma : {0.5, 0.8, 1.2}) {
        EXPECT_NEAR(found(taken(large, sigma), large), sigma, 0.051) << "sigmas are tried in steps of 0.05";
    }
    EXPECT_NEAR(found(taken(large, 3), large), 1.6, 1e-9) << "no wider one is tried";
}

TEST(enlarge_undone_blur, is_found_under_noise_and_not_made_up_by_it) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::normal_distribution<float> noise(0, 0.02f);
    const Plane large = scene(random);
    for (const double sigma : {0.0, 0.8}) {
        Plane small = taken(large, sigma);
        for (float& value : small.floats) value += noise(random);
        EXPECT_NEAR(found(small, large), sigma, 0.051);
    }
}

TEST(enlarge_undone_blur, is_none_where_a_part_is_too_small_to_tell) {
    const std::vector<float> floats(4 * 7 * 5, 0.25f);
    UndoneBlur undone;
    base::AlignedFloats scratch;
    undone.add({{floats.data(), floats.data(), floats.data()}, 7}, 7, 5,
               {{floats.data(), floats.data(), floats.data()}, 14}, scratch);
    EXPECT_EQ(undone.sigma_px(), 0);
}

}  // namespace
}  // namespace hangtrue::enlarge
