// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/kernels.h"

#include <gtest/gtest.h>

#include <bit>
#include <limits>

#include "engine/colour/fast_curve.h"
#include "engine/colour/matrix_model.h"
#include "tests/colour/made_profiles.h"
#include "tests/support/every_target.h"
#include "tests/support/random.h"

namespace hangtrue::colour {
namespace {

using support::for_every_target;

constexpr std::array<std::size_t, 10> odd_sizes{0, 1, 2, 3, 5, 7, 8, 17, 31, 1003};

std::vector<float> random_floats(std::mt19937_64& random, std::size_t count, float from, float to) {
    std::uniform_real_distribution<float> spread(from, to);
    std::vector<float> values(count);
    for (float& value : values) {
        value = spread(random);
    }
    return values;
}

std::vector<std::uint16_t> table_of_gamma(double gamma, std::size_t size) {
    std::vector<std::uint16_t> table(size);
    for (std::size_t i = 0; i < size; ++i) {
        table[i] = static_cast<std::uint16_t>(
            std::lround(65535 * std::pow(static_cast<double>(i) / static_cast<double>(size - 1), gamma)));
    }
    return table;
}

struct CurveUnderTest {
    std::string name;
    ToneCurve curve;
    double tolerance = 1e-6;       ///< A fifteenth of a 16-bit code; linear.
    double tolerance_back = 1e-6;  ///< Encoded, after both ways.
};

// A table that is no formula's, 16 bits.
std::vector<std::uint16_t> bent_table() {
    std::vector<std::uint16_t> table(1024);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double x = static_cast<double>(i) / 1023;
        table[i] = static_cast<std::uint16_t>(std::lround(65535 * (0.2 * x + 0.5 * x * x + 0.3 * x * x * x)));
    }
    return table;
}

// BT.709 as rounded parameters give it: its two parts miss one another by 4e-5 (ITU-R BT.709, 1.2).
ToneCurve rounded_bt709() {
    return *ToneCurve::from_parameters({.g = 2.2222, .a = 0.90992, .b = 0.09008, .c = 0.22222, .d = 0.081});
}

std::vector<CurveUnderTest> curves_under_test() {
    return {{"BT.709, rounded", rounded_bt709()},
            {"straight", ToneCurve()},
            {"gamma 1.8", ToneCurve::gamma(1.8)},
            {"gamma 2.2", ToneCurve::gamma(563.0 / 256)},
            {"sRGB", ToneCurve::srgb()},
            {"sRGB as parameters of colord", colord("sRGB").matrix_model()->curves[0]},
            {"L* as parameters", colord("ECI-RGBv2").matrix_model()->curves[0]},
            {"gamma 2.2 as 1024 entries", *ToneCurve::from_table(table_of_gamma(2.2, 1024))},
            // Straight lines between 512 nodes an octave, and x^4.5 bends by 15.75; what is darker than 2^-60 is a
            // straight line to black, which is here 1e-4 of white, encoded.
            {"gamma 4.5, too steep for a power in floats", ToneCurve::gamma(4.5), 3e-6, 5e-5},
            {"with offsets", *ToneCurve::from_parameters({.g = 2.0, .a = 0.995, .b = 0.005, .d = 0, .e = -0.000025}),
             1e-6, 2e-6},
            // The nodes round off the corners that 16 bits leave, up to half a code; slopes of 0.2 up.
            {"a table that is no formula's", *ToneCurve::from_table(bent_table()), 1e-5, 5e-5}};
}

TEST(kernels, curves_agree_with_double_precision_on_every_target) {
    std::vector<float> encoded;
    for (int i = -6000; i <= 18000; ++i) {
        encoded.push_back(static_cast<float>(i) / 12000);
    }
    for (const CurveUnderTest& each : curves_under_test()) {
        SCOPED_TRACE(each.name);
        const FastCurve to_linear = fast_to_linear(each.curve);
        const FastCurve to_encoded = fast_to_encoded(each.curve);
        for_every_target([&] {
            std::vector<float> values = encoded;
            apply_curve(to_linear, values);
            double worst = 0;
            double worst_back = 0;
            for (std::size_t i = 0; i < values.size(); ++i) {
                // Relative above 1, where the values grow to 3 and floats with them.
                const double expected = each.curve.to_linear(encoded[i]);
                worst = std::max(worst, std::abs(values[i] - expected) / std::max(1.0, std::abs(expected)));
            }
            apply_curve(to_encoded, values);
            for (std::size_t i = 0; i < values.size(); ++i) {
                worst_back = std::max(worst_back, static_cast<double>(std::abs(values[i] - encoded[i])));
            }
            EXPECT_LT(worst, each.tolerance);
            EXPECT_LT(worst_back, each.tolerance_back);
        });
    }
}

TEST(kernels, tables_of_known_curves_are_taken_as_the_curves) {
    EXPECT_TRUE(ToneCurve::from_table(table_of_gamma(2.2, 1024))->parameters());
    EXPECT_NEAR(ToneCurve::from_table(table_of_gamma(1.8, 256))->parameters()->g, 1.8, 1e-4);
    EXPECT_EQ(icc_profiles_free("sRGB").matrix_model()->curves[0], ToneCurve::srgb());
    EXPECT_FALSE(ToneCurve::from_table(bent_table())->parameters());
}

TEST(kernels, curves_keep_0_and_1_to_the_last_bit_and_never_fall) {
    for (const CurveUnderTest& each : curves_under_test()) {
        SCOPED_TRACE(each.name);
        for (const FastCurve& fast : {fast_to_linear(each.curve), fast_to_encoded(each.curve)}) {
            for_every_target([&fast] {
                std::vector<float> ends{0.0F, 1.0F, 0.0F, 1.0F, 0.0F};
                apply_curve(fast, ends);
                EXPECT_EQ(ends, (std::vector<float>{0, 1, 0, 1, 0}));
                std::vector<float> rising;
                for (int i = -70000; i <= 140000; i += 5) {
                    rising.push_back(static_cast<float>(i) / 65535);
                }
                apply_curve(fast, rising);
                for (std::size_t i = 1; i < rising.size(); ++i) {
                    ASSERT_GE(rising[i], rising[i - 1]) << i;
                }
            });
        }
    }
}

TEST(kernels, what_is_no_number_stays_within_the_tables) {
    const FastCurve table = fast_to_linear(*ToneCurve::from_table(bent_table()));
    const FastCurve back = fast_to_encoded(*ToneCurve::from_table(bent_table()));
    for_every_target([&] {
        std::vector<float> wild{std::numeric_limits<float>::quiet_NaN(), -std::numeric_limits<float>::quiet_NaN(),
                                std::numeric_limits<float>::infinity(),  -std::numeric_limits<float>::infinity(),
                                std::numeric_limits<float>::max(),       std::numeric_limits<float>::denorm_min()};
        apply_curve(table, wild);
        apply_curve(back, wild);
        clip_to_unit(wild);
        EXPECT_EQ(wild[2], 1);
        EXPECT_EQ(wild[3], 0);
    });
}

TEST(kernels, samples_become_codes_over_their_largest_to_the_last_bit) {
    std::vector<std::uint16_t> deep(3 * 65536);
    std::vector<std::uint8_t> shallow(3 * 256);
    for (std::size_t i = 0; i < deep.size(); ++i) {
        deep[i] = static_cast<std::uint16_t>(i / 3 * (1 + 2 * (i % 3)));
    }
    for (std::size_t i = 0; i < shallow.size(); ++i) {
        shallow[i] = static_cast<std::uint8_t>(i / 3 * (1 + 2 * (i % 3)));
    }
    for_every_target([&] {
        OwnPlanes planes(65536);
        planes_from_samples(deep, {planes.red, planes.green, planes.blue});
        const std::vector<float> found = planes.interleaved();
        for (std::size_t i = 0; i < deep.size(); ++i) {
            ASSERT_EQ(found[i], static_cast<float>(deep[i]) / 65535.0F);
            ASSERT_EQ(std::lround(found[i] * 65535.0F), deep[i]);
        }
        OwnPlanes small(256);
        planes_from_samples(shallow, {small.red, small.green, small.blue});
        const std::vector<float> found_small = small.interleaved();
        for (std::size_t i = 0; i < shallow.size(); ++i) {
            ASSERT_EQ(found_small[i], static_cast<float>(shallow[i]) / 255.0F);
        }
    });
}

TEST(kernels, samples_of_odd_counts_fill_their_planes_and_nothing_else) {
    for_every_target([] {
        for (const std::size_t size : odd_sizes) {
            std::vector<std::uint16_t> samples(3 * size, 65535);
            OwnPlanes planes(size + 4);
            const auto part = [size](std::vector<float>& v) { return std::span(v).first(size); };
            planes_from_samples(samples, {part(planes.red), part(planes.green), part(planes.blue)});
            for (const std::vector<float>* plane : {&planes.red, &planes.green, &planes.blue}) {
                for (std::size_t i = 0; i < plane->size(); ++i) {
                    ASSERT_EQ((*plane)[i], i < size ? 1.0F : 0.0F);
                }
            }
        }
    });
}

struct ShaperUnderTest {
    FastCurves to_linear;
    FastCurves to_encoded;
    MatrixShaper shaper;
    std::array<ToneCurve, 3> from;
    std::array<ToneCurve, 3> to;

    ShaperUnderTest(const std::array<ToneCurve, 3>& from_curves, const std::array<ToneCurve, 3>& to_curves)
        : to_linear(fast_to_linear(from_curves)),
          to_encoded(fast_to_encoded(to_curves)),
          from(from_curves),
          to(to_curves) {
        for (std::size_t c = 0; c < 3; ++c) {
            shaper.to_linear[c] = to_linear[c].get();
            shaper.to_encoded[c] = to_encoded[c].get();
        }
        shaper.white = {1, 1, 1};
        shaper.red = {1.3F, -0.2F, 0.05F};
        shaper.blue = {-0.1F, -0.05F, 1.2F};
    }

    std::array<double, 3> slow(std::array<float, 3> rgb) const {
        std::array<double, 3> out{};
        const double red = from[0].to_linear(rgb[0]);
        const double green = from[1].to_linear(rgb[1]);
        const double blue = from[2].to_linear(rgb[2]);
        for (std::size_t c = 0; c < 3; ++c) {
            const double linear = green + static_cast<double>(shaper.red[c]) * (red - green) +
                                  static_cast<double>(shaper.blue[c]) * (blue - green);
            out[c] = to[c].to_encoded(std::clamp(linear, 0.0, 1.0));
        }
        return out;
    }
};

// A mixture may leave next to nothing of linear light by subtraction, where an encoding rises steeply: the
// tolerance is 1e-6 in linear (with tables 1e-5, half a code) or 4e-6 in encoded terms, whichever is met.
TEST(kernels, matrix_shaper_agrees_with_double_precision_on_odd_sizes) {
    const support::Seeded seeded;
    const ToneCurve table = *ToneCurve::from_table(bent_table());
    const ToneCurve gamma = ToneCurve::gamma(1.8);
    const ToneCurve srgb = ToneCurve::srgb();
    const std::pair<ShaperUnderTest, double> cases[] = {{{{gamma, gamma, gamma}, {srgb, srgb, srgb}}, 1e-6},
                                                        {{{table, table, table}, {table, table, table}}, 1e-5},
                                                        {{{gamma, table, srgb}, {srgb, gamma, table}}, 1e-5}};
    for (const auto& [shaper_under_test, tolerance] : cases) {
        const ShaperUnderTest& each = shaper_under_test;
        const double linear_tolerance = tolerance;
        for_every_target([&] {
            std::mt19937_64 random(seeded.seed);
            for (const std::size_t size : odd_sizes) {
                const std::vector<float> colours = random_floats(random, 3 * size, -0.1F, 1.1F);
                OwnPlanes planes(colours);
                apply_matrix_shaper(each.shaper, {planes.red, planes.green, planes.blue});
                const std::vector<float> found = planes.interleaved();
                for (std::size_t i = 0; i < size; ++i) {
                    const auto expected = each.slow({colours[3 * i], colours[3 * i + 1], colours[3 * i + 2]});
                    for (std::size_t c = 0; c < 3; ++c) {
                        const double value = found[3 * i + c];
                        const double linear_error =
                            std::abs(each.to[c].to_linear(value) - each.to[c].to_linear(expected[c]));
                        ASSERT_TRUE(std::abs(value - expected[c]) < 4e-6 || linear_error < linear_tolerance)
                            << value << " for " << expected[c];
                    }
                }
            }
        });
    }
}

// Of the six ways to cut a cell into tetrahedra this takes the one by sorting, written out slowly.
double slow_cube(const CubeTable& cube, std::array<float, 3> rgb, std::size_t channel) {
    std::array<int, 3> at{};
    std::array<std::pair<double, std::size_t>, 3> fractions;
    for (std::size_t c = 0; c < 3; ++c) {
        const double place = std::clamp(static_cast<double>(rgb[c]), 0.0, 1.0) * (cube.size - 1);
        at[c] = std::min(static_cast<int>(place), cube.size - 2);
        fractions[c] = {place - at[c], c};
    }
    std::sort(fractions.rbegin(), fractions.rend());
    const auto node = [&] { return static_cast<double>(cube.nodes[4 * cube.index(at[0], at[1], at[2]) + channel]); };
    double sum = (1 - fractions[0].first) * node();
    for (std::size_t k = 0; k < 3; ++k) {
        ++at[fractions[k].second];
        sum += (fractions[k].first - (k < 2 ? fractions[k + 1].first : 0)) * node();
    }
    return sum;
}

TEST(kernels, cube_agrees_with_double_precision_on_odd_sizes) {
    const support::Seeded seeded;
    CubeTable cube;
    cube.size = 5;
    std::mt19937_64 filler(seeded.seed);
    cube.nodes = random_floats(filler, 4 * 5 * 5 * 5, 0, 1);
    for_every_target([&] {
        std::mt19937_64 random(seeded.seed + 1);
        for (const std::size_t size : odd_sizes) {
            std::vector<float> colours = random_floats(random, 3 * size, -0.2F, 1.2F);
            if (size == 17) {
                std::fill(colours.begin(), colours.begin() + 6, 1.0F);
                std::fill(colours.begin() + 6, colours.begin() + 9, 0.25F);
            }
            OwnPlanes planes(colours);
            apply_cube(cube, {planes.red, planes.green, planes.blue});
            const std::vector<float> found = planes.interleaved();
            for (std::size_t i = 0; i < found.size(); ++i) {
                const std::size_t pixel = 3 * (i / 3);
                const double expected =
                    slow_cube(cube, {colours[pixel], colours[pixel + 1], colours[pixel + 2]}, i % 3);
                // Four products of floats below 1, and fractions of cells counted in floats.
                ASSERT_NEAR(found[i], expected, 2e-6);
            }
        }
    });
}

TEST(kernels, clipping_leaves_what_is_within) {
    for_every_target([] {
        std::vector<float> values{-0.5F, 0.0F, 0.25F, 1.0F, 1.5F, -0.0F, 0.999F};
        clip_to_unit(values);
        EXPECT_EQ(values, (std::vector<float>{0, 0, 0.25F, 1, 1, 0, 0.999F}));
    });
}

}  // namespace
}  // namespace hangtrue::colour
