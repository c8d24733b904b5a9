// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/winograd.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

#include "tests/support/every_target.h"
#include "tests/support/random.h"

namespace hangtrue::enlarge {
namespace {

struct Case {
    int inputs, outputs;
    After after;
};

/// A convolution with random numbers, and pixels for it.
struct Made {
    std::vector<float> kernel, biases;
    Convolution plain;
    int in, out;  ///< Filled up.
    base::PixelSize part;
    base::AlignedFloats source, result, scratch;

    Made(int inputs, int outputs, base::PixelSize of, std::uint64_t seed)
        : kernel(static_cast<std::size_t>(9 * inputs * outputs)),
          biases(static_cast<std::size_t>(outputs)),
          in(filled_channels(inputs)),
          out(filled_channels(outputs)),
          part(of) {
        std::mt19937_64 random(seed);
        std::uniform_real_distribution<float> value(-1, 1);
        for (float& tap : kernel) tap = value(random) / 8;
        for (float& bias : biases) bias = value(random);
        plain = {inputs, outputs, kernel, biases};
        const auto fill = [&](base::AlignedFloats& floats, base::PixelSize size, int channels) {
            const auto count = static_cast<std::size_t>(size.count() * channels);
            float* const first = floats.room_for(count);
            for (std::size_t i = 0; i < count; ++i) first[i] = value(random);
        };
        fill(source, {part.width + 2, part.height + 2}, in);
        fill(result, part, out);
    }
    std::size_t source_row() const { return static_cast<std::size_t>((part.width + 2) * in); }
    std::size_t result_row() const { return static_cast<std::size_t>(part.width * out); }
    float source_at(int channel, int y, int x) const {
        return source.all()[static_cast<std::size_t>(y) * source_row() + static_cast<std::size_t>(x * in + channel)];
    }
    float result_at(int channel, int y, int x) const {
        return result.all()[static_cast<std::size_t>(y) * result_row() + static_cast<std::size_t>(x * out + channel)];
    }
    void run(const WinogradConvolution& convolution, After after) {
        const std::size_t floats = convolution.scratch_floats();
        float* const tiles = std::fill_n(scratch.room_for(floats), floats, 0.0f) - floats;
        convolution.run({source.all().data(), source_row()}, part, after, {result.all().data(), result_row()}, tiles);
    }
    /// Slow and plain: the sum as the definition has it, in double.
    double sum(int channel, int y, int x) const {
        double sum = static_cast<double>(biases[static_cast<std::size_t>(channel)]);
        for (int input = 0; input < plain.inputs; ++input) {
            for (int tap = 0; tap < 9; ++tap) {
                sum +=
                    static_cast<double>(kernel[static_cast<std::size_t>((channel * plain.inputs + input) * 9 + tap)]) *
                    static_cast<double>(source_at(input, y + tap / 3, x + tap % 3));
            }
        }
        return sum;
    }
};

TEST(enlarge_winograd, gives_the_sums_of_the_definition) {
    const support::Seeded seeded;
    for (const Case& one : {Case{6, 64, After::nothing},
                            {64, 64, After::relu},
                            {48, 48, After::add},
                            {64, 12, After::nothing},
                            {8, 24, After::add},
                            {5, 80, After::relu},
                            {3, 112, After::nothing}}) {
        Made made(one.inputs, one.outputs, {28, 12}, seeded.seed);
        const WinogradConvolution convolution(made.plain);
        Made before = Made(one.inputs, one.outputs, {28, 12}, seeded.seed);
        made.run(convolution, one.after);
        double largest = 0;
        for (int channel = 0; channel < one.outputs; ++channel) {
            for (int y = 0; y < made.part.height; ++y) {
                for (int x = 0; x < made.part.width; ++x) {
                    double expected = before.sum(channel, y, x);
                    if (one.after == After::relu) expected = std::max(expected, 0.0);
                    if (one.after == After::add) expected += static_cast<double>(before.result_at(channel, y, x));
                    const auto found = static_cast<double>(made.result_at(channel, y, x));
                    largest = std::max(largest, std::abs(found - expected));
                }
            }
        }
        // Sums of up to 576 products of 1/8 at most, in floats; the transforms multiply what is rounded by up to 100.
        EXPECT_LT(largest, 3e-5) << one.inputs << " to " << one.outputs;
    }
}

TEST(enlarge_winograd, tile_has_the_same_bits_whatever_is_computed_with_it) {
    const support::Seeded seeded;
    Made made(64, 48, {64, 16}, seeded.seed);
    const WinogradConvolution convolution(made.plain);
    made.run(convolution, After::nothing);
    base::AlignedFloats alone;
    float* const tile = alone.room_for(static_cast<std::size_t>(16 * made.out));
    base::AlignedFloats scratch;
    const std::size_t floats = convolution.scratch_floats();
    float* const tiles = std::fill_n(scratch.room_for(floats), floats, 0.0f) - floats;
    for (int y = 0; y < 16; y += tile_px) {
        for (int x = 0; x < 64; x += tile_px) {
            const float* const from = made.source.all().data() + static_cast<std::size_t>(y) * made.source_row() +
                                      static_cast<std::size_t>(x * made.in);
            convolution.run({from, made.source_row()}, {4, 4}, After::nothing,
                            {tile, static_cast<std::size_t>(4 * made.out)}, tiles);
            for (int i = 0; i < 16 * made.out; ++i) {
                ASSERT_EQ(tile[i], made.result_at(i % made.out, y + i / made.out / 4, x + i / made.out % 4));
            }
        }
    }
}

TEST(enlarge_winograd, sums_of_all_processors_are_nearly_the_same) {
    const support::Seeded seeded;
    Made own(64, 64, {24, 8}, seeded.seed);
    const WinogradConvolution convolution(own.plain);
    own.run(convolution, After::relu);
    support::for_every_target([&] {
        Made other(64, 64, {24, 8}, seeded.seed);
        other.run(convolution, After::relu);
        float largest = 0;
        for (std::size_t i = 0; i < own.result_row() * 8; ++i) {
            largest = std::max(largest, std::abs(own.result.all()[i] - other.result.all()[i]));
        }
        EXPECT_LT(largest, 3e-5f);  // As above.
    });
}

}  // namespace
}  // namespace hangtrue::enlarge
