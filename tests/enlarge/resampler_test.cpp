// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/resampler.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <functional>
#include <numbers>
#include <vector>

#include "engine/base/aligned_floats.h"
#include "tests/support/random.h"

namespace hangtrue::enlarge {
namespace {

using Scene = std::function<double(int x, int y)>;

/// The part of the image, row by row, through the code under test.
std::vector<float> resampled(const Mapping& mapping, base::PixelRect part, const Scene& scene) {
    const PartResampler resampler(mapping, part);
    const base::PixelRect needed = resampler.needed();
    base::AlignedFloats source_floats;
    base::AlignedFloats result_floats;
    base::AlignedFloats scratch;
    const std::size_t source_stride = base::aligned_floats(static_cast<std::size_t>(needed.width));
    const std::size_t result_stride = base::aligned_floats(static_cast<std::size_t>(part.width));
    float* source = source_floats.room_for(source_stride * static_cast<std::size_t>(needed.height));
    float* result = result_floats.room_for(result_stride * static_cast<std::size_t>(part.height));
    for (int y = 0; y < needed.height; ++y) {
        for (int x = 0; x < needed.width; ++x) {
            source[static_cast<std::size_t>(y) * source_stride + static_cast<std::size_t>(x)] =
                static_cast<float>(scene(needed.x + x, needed.y + y));
        }
    }
    resampler.resample({source, source_stride}, {result, result_stride}, scratch.room_for(resampler.scratch_floats()));
    std::vector<float> rows;
    for (int y = 0; y < part.height; ++y) {
        const float* row = result + static_cast<std::size_t>(y) * result_stride;
        rows.insert(rows.end(), row, row + part.width);
    }
    return rows;
}

/// Lanczos with `lobes` lobes (Duchon 1979).
double lanczos(double t, int lobes) {
    if (t == 0) return 1;
    if (std::abs(t) >= lobes) return 0;
    const double p = std::numbers::pi * t;
    return lobes * std::sin(p) * std::sin(p / lobes) / (p * p);
}

/// The slow, clear reference in double precision: one image pixel.
double reference_pixel(const Mapping& mapping, int image_x, int image_y, const Scene& scene) {
    const auto taps = [](double crop_start, double scale, int image_at) {
        const double centre = crop_start + (image_at + 0.5) / scale;
        const double widened = std::max(1.0, 1.0 / scale);
        const int lobes = scale > 1 ? 4 : scale < 1 ? 3 : 20;
        std::vector<std::pair<int, double>> weights;
        double sum = 0;
        for (int at = static_cast<int>(std::floor(centre - lobes * widened)) - 1; at <= centre + lobes * widened + 1;
             ++at) {
            const double weight = lanczos((at + 0.5 - centre) / widened, lobes);
            if (weight == 0) continue;
            weights.emplace_back(at, weight);
            sum += weight;
        }
        for (auto& [at, weight] : weights) weight /= sum;
        return weights;
    };
    double value = 0;
    for (const auto& [y, weight_y] : taps(mapping.crop.y, mapping.scale_y(), image_y)) {
        for (const auto& [x, weight_x] : taps(mapping.crop.x, mapping.scale_x(), image_x)) {
            value += weight_y * weight_x * scene(x, y);
        }
    }
    return value;
}

Mapping mapping_of(double factor, double crop_x, double crop_y, base::PixelSize image) {
    return {{crop_x, crop_y, image.width / factor, image.height / factor}, image};
}

/// Phase of the wave of `frequency` (cycles an image pixel) in one row, in radians at the image's origin.
double phase_in(const std::vector<float>& row, double frequency) {
    std::complex<double> sum = 0;
    double window_sum = 0;
    for (std::size_t x = 0; x < row.size(); ++x) {
        const double place = static_cast<double>(x) + 0.5;
        // Blackman's window (1958), so that the wave's own mirror image does not leak in.
        const double turn = 2 * std::numbers::pi * place / static_cast<double>(row.size());
        const double window = 0.42 - 0.5 * std::cos(turn) + 0.08 * std::cos(2 * turn);
        sum +=
            window * (static_cast<double>(row[x]) - 0.5) * std::polar(1.0, -2 * std::numbers::pi * frequency * place);
        window_sum += window;
    }
    return std::arg(sum / window_sum);
}

class PhaseAtFactor : public testing::TestWithParam<double> {};

TEST_P(PhaseAtFactor, sine_gratings_of_0_05_to_0_4_cycles_a_pixel_keep_their_phase_within_0_001_px) {
    const double factor = GetParam();
    for (const double crop_x : {100.0, 101.37, 7.0 / 3}) {
        for (const double frequency : {0.05, 0.1, 0.15, 0.2, 0.3, 0.4}) {
            // Reduced gratings beyond the new Nyquist are rightly gone; near it little is left to measure.
            if (frequency / factor > 0.42) continue;
            const auto wave = [&](double place) {
                return 0.5 + 0.4 * std::cos(2 * std::numbers::pi * frequency * place);
            };
            const Mapping mapping = mapping_of(factor, crop_x, 3.25, {1500, 8});
            const auto row = resampled(mapping, {200, 2, 1024, 1}, [&](int x, int) { return wave(x + 0.5); });
            const double found = phase_in(row, frequency / factor);
            // The image pixel at part x lies at picture place crop_x + (200 + x) / factor.
            const double expected = 2 * std::numbers::pi * frequency * (crop_x + 200 / factor);
            const double turns = std::remainder(found - expected, 2 * std::numbers::pi) / (2 * std::numbers::pi);
            // In picture pixels.
            EXPECT_NEAR(turns / frequency, 0, 0.001)
                << "factor " << factor << ", frequency " << frequency << ", crop " << crop_x;
        }
    }
}

INSTANTIATE_TEST_SUITE_P(enlarge_resampler, PhaseAtFactor, testing::Values(0.31, 1.0, 1.32, 2.0, 3.7));

TEST(enlarge_resampler, is_within_one_code_of_65535_of_the_double_precision_reference) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::vector<double> noise(64 * 64);
    for (double& value : noise) value = std::uniform_real_distribution<double>(0, 1)(random);
    const Scene scene = [&](int x, int y) { return noise[static_cast<std::size_t>((y & 63) * 64 + (x & 63))]; };
    for (const double factor : {0.31, 0.77, 1.0, 1.32, 2.0, 3.7}) {
        const Mapping mapping = mapping_of(factor, 40.123, 50.77, {300, 200});
        const base::PixelRect part{37, 21, 61, 35};
        const auto result = resampled(mapping, part, scene);
        for (int y = 0; y < part.height; y += 7) {
            for (int x = 0; x < part.width; ++x) {
                const double expected = reference_pixel(mapping, part.x + x, part.y + y, scene);
                ASSERT_NEAR(result[static_cast<std::size_t>(y * part.width + x)], expected, 1.0 / 65535)
                    << "factor " << factor << " at " << x << ", " << y;
            }
        }
    }
}

TEST(enlarge_resampler, a_flat_field_stays_flat_within_a_tenth_of_a_16_bit_code) {
    for (const double factor : {0.31, 1.32, 3.7}) {
        const Mapping mapping = mapping_of(factor, 5.4, 6.1, {200, 100});
        for (const float value : resampled(mapping, {10, 10, 90, 50}, [](int, int) { return 0.73; })) {
            ASSERT_NEAR(value, 0.73F, 0.1 / 65535);
        }
    }
}

TEST(enlarge_resampler, a_step_overshoots_by_at_most_12_7_percent_of_its_height) {
    double largest = 0;
    for (const double factor : {1.32, 2.0, 3.7, 7.9}) {
        const Mapping mapping = mapping_of(factor, 3.3, 2, {400, 16});
        for (const float value : resampled(mapping, {0, 4, 400, 1}, [](int x, int) { return x < 20 ? 0.0 : 1.0; })) {
            largest = std::max({largest, static_cast<double>(value) - 1, -static_cast<double>(value)});
        }
    }
    EXPECT_LE(largest, overshoot_limit);
    // The kernel's own overshoot is 12.65 % (computed from its formula): less would mean another kernel.
    EXPECT_GE(largest, 0.1);
}

TEST(enlarge_resampler, a_whole_number_crop_at_1_to_1_is_a_copy) {
    const Mapping mapping{{12, 7, 100, 50}, {100, 50}};
    EXPECT_TRUE(is_copy(mapping));
    const Scene scene = [](int x, int y) { return (x * 31 + y * 17) % 97 / 96.0; };
    const base::PixelRect part{3, 4, 50, 20};
    const auto result = resampled(mapping, part, scene);
    for (int y = 0; y < part.height; ++y) {
        for (int x = 0; x < part.width; ++x) {
            ASSERT_EQ(result[static_cast<std::size_t>(y * part.width + x)],
                      static_cast<float>(scene(12 + 3 + x, 7 + 4 + y)));
        }
    }
    EXPECT_FALSE(is_copy({{12.5, 7, 100, 50}, {100, 50}}));
    EXPECT_FALSE(is_copy({{12, 7, 99.5, 50}, {100, 50}}));
}

TEST(enlarge_resampler, needs_four_pixels_and_one_to_spare_around_an_enlarged_part) {
    const base::PixelRect needed = pixels_needed({{10, 20, 100, 50}, {200, 100}}, {0, 0, 20, 10});
    EXPECT_EQ(needed.x, 5);
    EXPECT_EQ(needed.y, 15);
    EXPECT_EQ(needed.right(), 25);
    EXPECT_EQ(needed.bottom(), 30);
}

}  // namespace
}  // namespace hangtrue::enlarge
