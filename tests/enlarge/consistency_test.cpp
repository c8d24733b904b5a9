// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/consistency.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "tests/support/disc_scene.h"
#include "tests/support/random.h"

namespace hangtrue::enlarge {
namespace {

/// Three planes in one buffer.
struct Picture {
    int width;
    int height;
    std::vector<float> floats;
    Picture(int across, int down)
        : width(across), height(down), floats(3 * static_cast<std::size_t>(across) * static_cast<std::size_t>(down)) {}
    std::size_t plane() const { return static_cast<std::size_t>(width) * static_cast<std::size_t>(height); }
    std::size_t index(std::size_t channel, int y, int x) const {
        return channel * plane() + static_cast<std::size_t>(y * width + x);
    }
    float at(std::size_t channel, int y, int x) const { return floats[index(channel, y, x)]; }
    RgbPlanes<const float> seen() const {
        return {{floats.data(), floats.data() + plane(), floats.data() + 2 * plane()}, static_cast<std::size_t>(width)};
    }
    RgbPlanes<float> written() {
        return {{floats.data(), floats.data() + plane(), floats.data() + 2 * plane()}, static_cast<std::size_t>(width)};
    }
};

/// Waves of all directions up to `highest` cycles a pixel, amplitudes falling as 1/f, as photographs' do (Field 1987),
/// and an edge.
Picture scene(int width, int height, double highest, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<double> uniform(0, 1);
    Picture picture(width, height);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (int wave = 0; wave < 40; ++wave) {
            const double frequency = 0.01 + highest * uniform(random);
            const double angle = std::numbers::pi * uniform(random);
            const double phase = 2 * std::numbers::pi * uniform(random);
            const double u = 2 * std::numbers::pi * frequency * std::cos(angle);
            const double v = 2 * std::numbers::pi * frequency * std::sin(angle);
            for (int y = 0; y < height; ++y) {
                for (int x = 0; x < width; ++x) {
                    const double value = 0.002 / frequency * std::sin(u * x + v * y + phase);
                    picture.floats[picture.index(channel, y, x)] += static_cast<float>(value);
                }
            }
        }
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x) {
                picture.floats[picture.index(channel, y, x)] += 2 * x > width + y ? 0.7f : 0.3f;
            }
        }
    }
    return picture;
}

TEST(enlarge_consistency, made_small_is_the_widened_cubic_and_then_the_gaussian) {
    const Picture enlarged = scene(80, 64, 0.5, 1);
    for (const double sigma : {0.0, 0.8}) {
        const Consistency consistency({.undone_blur_px = sigma});
        std::vector<float> small(40 * 32);
        std::vector<float> scratch(consistency.scratch_floats(40));
        consistency.made_small(enlarged.floats.data(), 80, 40, 32, small.data(), scratch.data());
        const auto reduced = [&](int y, int x) {
            double sum = 0;
            for (int yy = 2 * y - 3; yy <= 2 * y + 4; ++yy) {
                for (int xx = 2 * x - 3; xx <= 2 * x + 4; ++xx) {
                    sum += support::keys_cubic((yy - 2 * y - 0.5) / 2) / 2 *
                           support::keys_cubic((xx - 2 * x - 0.5) / 2) / 2 *
                           static_cast<double>(enlarged.at(0, yy, xx));
                }
            }
            return sum;
        };
        for (int y = 6; y < 26; y += 3) {
            for (int x = 6; x < 34; ++x) {
                double expected = 0;
                double weights = 0;
                for (int dy = -3; dy <= 3; ++dy) {
                    for (int dx = -3; dx <= 3; ++dx) {
                        const double weight =
                            sigma > 0 ? std::exp(-(dx * dx + dy * dy) / (2 * sigma * sigma)) : (dx == 0 && dy == 0);
                        expected += weight * reduced(y + dy, x + dx);
                        weights += weight;
                    }
                }
                ASSERT_NEAR(static_cast<double>(small[static_cast<std::size_t>(y * 40 + x)]), expected / weights, 2e-6)
                    << sigma;  // Float sums; the Gaussian is cut off at 3 sigma alike.
            }
        }
    }
}

/// dB of the enlarged picture, made small again, against the picture; both 0..1, inside of the halo.
double likeness_db(const Consistency& consistency, const Picture& picture, const Picture& enlarged) {
    std::vector<float> small(picture.plane());
    std::vector<float> scratch(consistency.scratch_floats(picture.width));
    consistency.made_small(enlarged.floats.data(), static_cast<std::size_t>(enlarged.width), picture.width,
                           picture.height, small.data(), scratch.data());
    double sum = 0;
    int count = 0;
    for (int y = consistency.halo_px(); y < picture.height - consistency.halo_px(); ++y) {
        for (int x = consistency.halo_px(); x < picture.width - consistency.halo_px(); ++x, ++count) {
            const auto at = static_cast<std::size_t>(y * picture.width + x);
            const double difference = static_cast<double>(picture.at(0, y, x) - small[at]);
            sum += difference * difference;
        }
    }
    return -10 * std::log10(sum / count);
}

TEST(enlarge_consistency, four_steps_bring_a_clean_picture_back_to_50_db) {
    const Picture picture = scene(120, 100, 0.4, 2);
    Picture enlarged(240, 200);
    std::mt19937_64 random(3);
    std::uniform_real_distribution<float> wrong(-0.05f, 0.05f);
    for (float& sample : enlarged.floats) sample = wrong(random);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        add_doubled(picture.floats.data() + picture.index(channel, 2, 2), 120, 116, 96,
                    enlarged.floats.data() + enlarged.index(channel, 4, 4), 240);
    }
    const Consistency consistency({});
    const double before = likeness_db(consistency, picture, enlarged);
    base::AlignedFloats scratch;
    consistency.apply(picture.seen(), 120, 100, enlarged.written(), scratch);
    EXPECT_LT(before, 42);
    EXPECT_GT(likeness_db(consistency, picture, enlarged), 50);
}

TEST(enlarge_consistency, differences_that_the_noise_explains_are_left_alone) {
    const Picture picture = scene(80, 80, 0.3, 4);
    Picture enlarged(160, 160);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        add_doubled(picture.floats.data() + picture.index(channel, 2, 2), 80, 76, 76,
                    enlarged.floats.data() + enlarged.index(channel, 4, 4), 160);
    }
    const Consistency crisp({});
    base::AlignedFloats scratch;
    crisp.apply(picture.seen(), 80, 80, enlarged.written(), scratch);
    Picture noisy = picture;
    std::mt19937_64 random(5);
    std::uniform_real_distribution<float> noise(-0.02f, 0.02f);  // All of it within 2.5 sd of what is said.
    for (float& sample : noisy.floats) sample += noise(random);
    const Picture before = enlarged;
    const Consistency told({0.02, 0, 0});
    told.apply(noisy.seen(), 80, 80, enlarged.written(), scratch);
    for (int y = 40; y < 120; ++y) {
        for (int x = 40; x < 120; ++x) ASSERT_EQ(enlarged.at(1, y, x), before.at(1, y, x));
    }
}

double sd_of(const std::vector<float>& plane, int width, int height, int border) {
    double sum = 0;
    double squares = 0;
    int count = 0;
    for (int y = border; y < height - border; ++y) {
        for (int x = border; x < width - border; ++x, ++count) {
            const auto value = static_cast<double>(plane[static_cast<std::size_t>(y * width + x)]);
            sum += value;
            squares += value * value;
        }
    }
    return std::sqrt(squares / count - (sum / count) * (sum / count));
}

TEST(enlarge_consistency, kept_grain_is_0_8_to_1_1_times_as_strong_as_the_pictures_and_calm_has_none) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const int side = 160;
    for (const double noise : {0.004, 0.01, 0.03}) {
        Picture picture(side, side);
        std::normal_distribution<float> grain(0.5f, static_cast<float>(noise));
        for (float& sample : picture.floats) sample = grain(random);
        const Consistency kept({noise, 0, 0}, Grain::keep);
        for (const Grain wished : {Grain::keep, Grain::calm}) {
            Picture enlarged(2 * side, 2 * side);  // As a network that has taken all of it away leaves the picture.
            std::fill(enlarged.floats.begin(), enlarged.floats.end(), 0.5f);
            base::AlignedFloats scratch;
            Consistency({noise, 0, 0}, wished).apply(picture.seen(), side, side, enlarged.written(), scratch);
            std::vector<float> small(picture.plane());
            std::vector<float> line(kept.scratch_floats(side));
            kept.made_small(enlarged.floats.data(), 2 * side, side, side, small.data(), line.data());
            const double ratio = sd_of(small, side, side, kept.halo_px()) / noise;
            if (wished == Grain::keep) {
                EXPECT_GT(ratio, 0.8) << noise;
                EXPECT_LT(ratio, 1.1) << noise;
            } else {
                // What stands out by more than 2.5 standard deviations, one sample in eighty, is no grain.
                EXPECT_LT(ratio, 0.1) << noise;
            }
        }
    }
}

TEST(enlarge_consistency, what_stands_outside_of_the_halo_does_not_matter) {
    for (const double sigma : {0.0, 1.2}) {
        const Consistency consistency({.undone_blur_px = sigma});
        const int side = 2 * consistency.halo_px() + 20;
        const Picture picture = scene(side, side, 0.3, 6);
        Picture one = scene(2 * side, 2 * side, 0.3, 7);
        Picture other = one;
        for (int x = 0; x < 2 * side; ++x) {
            for (const int edge : {0, 2 * side - 1}) {
                other.floats[other.index(0, edge, x)] += 3;
                other.floats[other.index(0, x, edge)] -= 3;
            }
        }
        base::AlignedFloats scratch;
        consistency.apply(picture.seen(), side, side, one.written(), scratch);
        consistency.apply(picture.seen(), side, side, other.written(), scratch);
        const int first = 2 * consistency.halo_px();
        for (int y = first; y < 2 * side - first; ++y) {
            for (int x = first; x < 2 * side - first; ++x) ASSERT_EQ(one.at(0, y, x), other.at(0, y, x)) << sigma;
        }
    }
}

}  // namespace
}  // namespace hangtrue::enlarge
