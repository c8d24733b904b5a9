// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numbers>
#include <random>

#include "engine/sharpen/design.h"
#include "engine/sharpen/filter.h"
#include "tests/sharpen/reference.h"
#include "tests/support/every_target.h"
#include "tests/support/random.h"

namespace hangtrue {
namespace {

using sharpen::Filter;
using test::Planes;

constexpr std::array<float, 3> weights{0.2126f, 0.7152f, 0.0722f};

const Filter strong{.terms = {{0.68, -2.9}, {1.67, 3.98}, {4.07, -0.5}},
                    .threshold = 0.01,
                    .overshoot_limit = 0.04,
                    .highlight_fade = 0.08,
                    .shadow_fade = 0.07};
const Filter fine{.terms = {{0.35, 0.6}, {0.85, 1.1}},
                  .threshold = 0,
                  .overshoot_limit = 0.04,
                  .highlight_fade = 0.08,
                  .shadow_fade = 0.07};
const Filter single{
    .terms = {{1.1, 1.4}}, .threshold = 0.004, .overshoot_limit = 0.02, .highlight_fade = 0.1, .shadow_fade = 0.1};

/// Steps, ramps and noise from a little under black to a little over white.
Planes busy(int width, int height, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<float> noise(-0.05f, 0.05f);
    Planes planes(width, height);
    for (std::size_t c = 0; c < 3; ++c) {
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x) {
                const float ramp = static_cast<float>((x * 7 + y * 3 + static_cast<int>(c) * 11) % 97) / 96;
                const float step = (x / 9 + y / 7) % 2 == 0 ? 0.2f : 0.0f;
                planes.at(c, x, y) = ramp * 0.85f + step - 0.02f + noise(random);
            }
        }
    }
    return planes;
}

// Float sums of about 30 products of numbers near 1 with gains of 7 in all, and the same once more: 3e-6; the
// coring's slope, at most 5 where detail passes the threshold, multiplies it.
TEST(sharpen_apply, equals_the_double_precision_reference_on_odd_sizes_for_every_target) {
    support::for_every_target([] {
        for (const Filter& filter : {strong, fine, single}) {
            const int halo = sharpen::halo_px(filter);
            for (const auto& [inner_width, inner_height] : {std::pair{1, 1}, {7, 3}, {16, 5}, {33, 9}, {67, 4}}) {
                const Planes before = busy(inner_width + 2 * halo, inner_height + 2 * halo, 5);
                const test::Reference reference(filter, weights, before);
                Planes after = before;
                test::sharpen_in_place(filter, weights, after);
                for (int y = halo; y < halo + inner_height; ++y) {
                    for (int x = halo; x < halo + inner_width; ++x) {
                        const double change = reference.change(x, y);
                        for (std::size_t c = 0; c < 3; ++c) {
                            ASSERT_NEAR(after.at(c, x, y), before.at(c, x, y) + change, 1.5e-5) << x << ' ' << y;
                        }
                    }
                }
            }
        }
    });
}

TEST(sharpen_apply, a_pixel_is_bit_identical_wherever_its_block_begins) {
    const support::Seeded seeded;
    const Planes whole_before = busy(150, 90, seeded.seed);
    support::for_every_target([&] {
        std::mt19937_64 random(seeded.seed);
        for (const Filter& filter : {strong, fine, single}) {
            const int halo = sharpen::halo_px(filter);
            Planes whole = whole_before;
            test::sharpen_in_place(filter, weights, whole);
            for (int trial = 0; trial < 12; ++trial) {
                const auto below = [&](int limit) {
                    return static_cast<int>(random() % static_cast<std::uint64_t>(limit));
                };
                const int width = 1 + below(150 - 2 * halo);
                const int height = 1 + below(std::min(90 - 2 * halo, 20));
                const int left = halo + below(150 - 2 * halo - width + 1);
                const int top = halo + below(90 - 2 * halo - height + 1);
                Planes block(width + 2 * halo, height + 2 * halo);
                for (std::size_t c = 0; c < 3; ++c) {
                    for (int y = 0; y < block.height; ++y) {
                        for (int x = 0; x < block.width; ++x) {
                            block.at(c, x, y) = whole_before.at(c, left - halo + x, top - halo + y);
                        }
                    }
                }
                test::sharpen_in_place(filter, weights, block);
                for (std::size_t c = 0; c < 3; ++c) {
                    for (int y = 0; y < height; ++y) {
                        for (int x = 0; x < width; ++x) {
                            const float cut = block.at(c, x + halo, y + halo);
                            const float full = whole.at(c, left + x, top + y);
                            ASSERT_EQ(std::memcmp(&cut, &full, sizeof cut), 0) << left + x << ' ' << top + y;
                        }
                    }
                }
            }
        }
    });
}

TEST(sharpen_apply, writes_nothing_outside_the_inner_part) {
    const Planes before = busy(71, 45, 9);
    Planes after = before;
    test::sharpen_in_place(fine, weights, after);
    const int halo = sharpen::halo_px(fine);
    for (std::size_t c = 0; c < 3; ++c) {
        for (int y = 0; y < 45; ++y) {
            for (int x = 0; x < 71; ++x) {
                const bool is_inner = x >= halo && x < 71 - halo && y >= halo && y < 45 - halo;
                if (!is_inner) {
                    ASSERT_EQ(after.at(c, x, y), before.at(c, x, y));
                }
            }
        }
    }
}

/// The amplitude of a grating after sharpening over that before, by correlation with the grating.
double measured_response(const Filter& filter, double fx, double fy, double amplitude) {
    const int halo = sharpen::halo_px(filter);
    // A whole number of periods of multiples of 1/80 cycle: correlation has no leakage.
    const int side = 80;
    Planes planes(side + 2 * halo, side + 2 * halo);
    const auto phase = [&](int x, int y) { return 2 * std::numbers::pi * (fx * x + fy * y) + 0.4; };
    for (auto& plane : planes.samples) {
        for (int y = 0; y < planes.height; ++y) {
            for (int x = 0; x < planes.width; ++x) {
                plane[planes.index(x, y)] = static_cast<float>(0.5 + amplitude * std::cos(phase(x, y)));
            }
        }
    }
    test::sharpen_in_place(filter, weights, planes);
    double along = 0;
    double norm = 0;
    for (int y = halo; y < halo + side; ++y) {
        for (int x = halo; x < halo + side; ++x) {
            along += std::cos(phase(x, y)) * (static_cast<double>(planes.at(1, x, y)) - 0.5);
            norm += std::cos(phase(x, y)) * std::cos(phase(x, y));
        }
    }
    return along / norm / amplitude;
}

std::vector<Filter> designed_filters() {
    std::vector<Filter> filters;
    const struct {
        double f50, ppi, closest, enlarging, blur;
    } cases[] = {{3, 150, 550, 1.32, 0.4}, {3, 200, 366, 1, 0.4},   {2, 100, 366, 1.6, 0.8}, {2, 80, 900, 0.5, 0.4},
                 {5, 300, 300, 3, 0.8},    {3.2, 300, 300, 1, 0.5}, {4.6, 200, 550, 3, 0.4}};
    for (const auto& each : cases) {
        sharpen::Situation s;
        s.print_f50_cycles_per_mm = each.f50;
        s.ppi = {each.ppi};
        s.closest_look = {each.closest};
        s.design_distance = {2 * each.closest};
        s.enlarging = each.enlarging;
        s.picture_blur = {each.blur};
        filters.push_back(sharpen::designed(s).filter);
    }
    return filters;
}

// The promise is 2 %. Amplitude 0.005 is 1.3 codes of 255: with a gain of 3 it stays under half the overshoot limit.
TEST(sharpen_apply, gratings_about_mid_grey_reach_the_designed_response_within_2_percent_on_axes_and_diagonal) {
    for (const Filter& filter : designed_filters()) {
        ASSERT_FALSE(filter.is_off());
        for (int i = 2; i <= 36; i += 2) {
            const double f = i / 80.0;
            const double designed = sharpen::response(filter, f);
            EXPECT_NEAR(measured_response(filter, f, 0, 0.005), designed, 0.02 * designed) << f;
            EXPECT_NEAR(measured_response(filter, 0, f, 0.005), designed, 0.02 * designed) << f;
            const double diagonal = sharpen::response(filter, f * std::numbers::sqrt2);
            EXPECT_NEAR(measured_response(filter, f, f, 0.005), diagonal, 0.02 * diagonal) << f;
            EXPECT_NEAR(measured_response(filter, f, -f, 0.005), diagonal, 0.02 * diagonal) << f;
        }
    }
}

// Gaussian noise about mid grey, as the picture's measured noise says; enlarging 1, so it stays white.
TEST(sharpen_apply, a_grey_field_with_noise_keeps_its_standard_deviation_within_10_percent) {
    const support::Seeded seeded;
    for (const double f50 : {2.0, 3.0, 5.0}) {
        for (const double sd : {1.0, 3.0, 8.0}) {
            sharpen::Situation s;
            s.print_f50_cycles_per_mm = f50;
            s.ppi = {f50 == 5 ? 300.0 : 150.0};
            s.closest_look = {400};
            s.design_distance = {800};
            s.picture_blur = {0.7};
            s.picture_noise = {sd};
            const Filter filter = sharpen::designed(s).filter;
            ASSERT_FALSE(filter.is_off());
            std::mt19937_64 random(seeded.seed);
            std::normal_distribution<float> noise(0, static_cast<float>(sd / 255));
            const int halo = sharpen::halo_px(filter);
            Planes planes(200 + 2 * halo, 200 + 2 * halo);
            for (std::size_t i = 0; i < planes.samples[0].size(); ++i) {
                const float value = 0.5f + noise(random);
                for (auto& plane : planes.samples) plane[i] = value;
            }
            const auto deviation = [&] {
                double sum = 0;
                double square = 0;
                for (int y = halo; y < 200 + halo; ++y) {
                    for (int x = halo; x < 200 + halo; ++x) {
                        const double value = static_cast<double>(planes.at(0, x, y)) - 0.5;
                        sum += value;
                        square += value * value;
                    }
                }
                return std::sqrt(square / 40000 - std::pow(sum / 40000, 2));
            };
            const double before = deviation();
            test::sharpen_in_place(filter, weights, planes);
            const double ratio = deviation() / before;
            EXPECT_NEAR(ratio, 1, 0.1) << f50 << ' ' << sd;
            RecordProperty("sd_ratio_f50_" + std::to_string(static_cast<int>(f50)), std::to_string(ratio));
        }
    }
}

TEST(sharpen_apply, a_step_overshoots_by_less_than_the_limit_and_does_overshoot) {
    for (const Filter& filter : designed_filters()) {
        const int halo = sharpen::halo_px(filter);
        Planes planes(60 + 2 * halo, 8 + 2 * halo);
        for (auto& plane : planes.samples) {
            for (int y = 0; y < planes.height; ++y) {
                for (int x = 0; x < planes.width; ++x) plane[planes.index(x, y)] = x < planes.width / 2 ? 0.3f : 0.7f;
            }
        }
        test::sharpen_in_place(filter, weights, planes);
        float least = 1;
        float greatest = 0;
        for (int x = halo; x < 60 + halo; ++x) {
            least = std::min(least, planes.at(1, x, halo + 4));
            greatest = std::max(greatest, planes.at(1, x, halo + 4));
        }
        EXPECT_LE(greatest, 0.7f + 0.04f + 1e-6f);
        EXPECT_GE(least, 0.3f - 0.04f - 1e-6f);
        EXPECT_GT(greatest, 0.72f);
        EXPECT_LT(least, 0.28f);
    }
}

// A sun: a disc at white on a bright sky, its rim a soft edge; below it black rock. 1e-6: the sum of weights.
TEST(sharpen_apply, sun_snow_and_black_keep_their_shape) {
    for (const Filter& filter : designed_filters()) {
        const int halo = sharpen::halo_px(filter);
        Planes planes(90 + 2 * halo, 90 + 2 * halo);
        const auto luminance = [&](int x, int y) {
            const double radius = std::hypot(x - 45 - halo, y - 30 - halo);
            const double sun = 0.9 + 0.2 / (1 + std::exp((radius - 15) / 1.5));
            return y > 65 + halo ? 0.0 : std::min(1.0, sun);
        };
        for (auto& plane : planes.samples) {
            for (int y = 0; y < planes.height; ++y) {
                for (int x = 0; x < planes.width; ++x) plane[planes.index(x, y)] = static_cast<float>(luminance(x, y));
            }
        }
        test::sharpen_in_place(filter, weights, planes);
        int changed_white = 0;
        for (int y = halo; y < 90 + halo; ++y) {
            for (int x = halo; x < 90 + halo; ++x) {
                const float value = planes.at(0, x, y);
                EXPECT_LE(value, 1.000001f);
                EXPECT_GE(value, -0.000001f);
                const bool was_white = luminance(x, y) == 1.0;
                changed_white += (value >= 0.999999f) != was_white && std::abs(luminance(x, y) - 1) > 1e-4;
                if (was_white || luminance(x, y) == 0.0) {
                    EXPECT_NEAR(value, luminance(x, y), 1e-6);
                }
            }
        }
        EXPECT_EQ(changed_white, 0);
    }
}

TEST(sharpen_apply, a_flat_field_stays_flat_and_hue_differences_stay) {
    for (const Filter& filter : {strong, fine, single}) {
        Planes planes(50, 50);
        for (std::size_t c = 0; c < 3; ++c) std::ranges::fill(planes.samples[c], 0.2f + 0.25f * static_cast<float>(c));
        test::sharpen_in_place(filter, weights, planes);
        for (std::size_t c = 0; c < 3; ++c) {
            for (const float value : planes.samples[c]) ASSERT_NEAR(value, 0.2f + 0.25f * static_cast<float>(c), 1e-6f);
        }
    }
    Planes coloured = busy(60, 60, 3);
    const Planes before = coloured;
    test::sharpen_in_place(fine, weights, coloured);
    for (std::size_t i = 0; i < before.samples[0].size(); ++i) {
        // The same is added to each channel: two roundings of numbers under 2.
        ASSERT_NEAR(coloured.samples[0][i] - coloured.samples[2][i], before.samples[0][i] - before.samples[2][i],
                    3e-7f);
    }
}

// The change from one sample to the next, as the input moves by 1e-5, is small everywhere: no switch.
TEST(sharpen_apply, the_result_is_continuous_in_its_input) {
    const support::Seeded seeded;
    Planes first = busy(120, 60, seeded.seed);
    Planes second = first;
    std::mt19937_64 random(seeded.seed + 1);
    std::uniform_real_distribution<float> jitter(-1e-5f, 1e-5f);
    for (auto& plane : second.samples) {
        for (float& value : plane) value += jitter(random);
    }
    test::sharpen_in_place(strong, weights, first);
    test::sharpen_in_place(strong, weights, second);
    for (std::size_t i = 0; i < first.samples[0].size(); ++i) {
        // Gains of 7.4 in all, twice that against the mean, times the coring's slope of at most 5.
        ASSERT_NEAR(first.samples[1][i], second.samples[1][i], 1e-5f * 80);
    }
}

TEST(sharpen_apply, an_empty_filter_and_a_block_smaller_than_its_halo_change_nothing) {
    const Planes before = busy(7, 7, 1);
    Planes after = before;
    test::sharpen_in_place(Filter{}, weights, after);
    EXPECT_EQ(after.samples, before.samples);
    test::sharpen_in_place(fine, weights, after);
    EXPECT_EQ(after.samples, before.samples);
    EXPECT_EQ(sharpen::scratch_floats(Filter{}, 100, 100), 0u);
    EXPECT_EQ(sharpen::halo_px(Filter{}), 0);
}

}  // namespace
}  // namespace hangtrue
