// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/winograd.h"

#include <algorithm>
#include <array>
#include <span>

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "engine/enlarge/winograd.cpp"
#include <hwy/foreach_target.h>
#include <hwy/highway.h>

#ifndef HANGTRUE_ENLARGE_WINOGRAD_PARTS
#define HANGTRUE_ENLARGE_WINOGRAD_PARTS
namespace hangtrue::enlarge {

inline constexpr std::size_t tile_products = 36;
/// Transformed, multiplied and transformed back together: as many as stay in the processor's own cache with the kernel.
inline constexpr std::size_t tiles_at_once = 24;

/// From one of a tile's 36 values to the next, in floats. A line more than they need, or all 36 would fall into the
/// same few sets of the nearest cache.
constexpr std::size_t value_distance(std::size_t channels) { return tiles_at_once * channels + base::float_alignment; }

/// What the kernels for each processor are given.
struct TileWork {
    PixelRows<const float> source;
    PixelRows<float> result;
    std::size_t tile_rows, tile_columns;
    std::size_t inputs, outputs;
    const float* kernel;
    const float* biases;
    After after;
    float* before;  ///< Scratch: tiles transformed…
    float* behind;  ///< …and multiplied.
};

}  // namespace hangtrue::enlarge
#endif

HWY_BEFORE_NAMESPACE();
namespace hangtrue::enlarge::HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;
using Tag = hn::ScalableTag<float>;
using Vec = hn::Vec<Tag>;

HWY_INLINE Vec times(float factor, Vec value) { return hn::Mul(hn::Set(Tag(), factor), value); }
/// sum + factor * value
HWY_INLINE Vec plus(Vec sum, float factor, Vec value) { return hn::MulAdd(hn::Set(Tag(), factor), value, sum); }

/// Six pixels in a line become the six values that are multiplied.
template <std::size_t Step>
HWY_INLINE void transform_line(Vec* line) {
    const auto at = [&](std::size_t i) -> Vec& { return line[i * Step]; };
    const Vec even = plus(at(4), -4, at(2));
    const Vec odd = plus(at(3), -4, at(1));
    const Vec even_outer = hn::Sub(at(4), at(2));
    const Vec odd_outer = times(2, hn::Sub(at(3), at(1)));
    at(0) = plus(plus(at(4), -5, at(2)), 4, at(0));
    at(5) = plus(plus(at(5), -5, at(3)), 4, at(1));
    at(1) = hn::Add(even, odd);
    at(2) = hn::Sub(even, odd);
    at(3) = hn::Add(even_outer, odd_outer);
    at(4) = hn::Sub(even_outer, odd_outer);
}

/// Six products in a line become four sums.
template <std::size_t Step>
HWY_INLINE void transform_line_back(Vec* line) {
    const auto at = [&](std::size_t i) -> Vec& { return line[i * Step]; };
    const Vec inner = hn::Add(at(1), at(2));
    const Vec inner_odd = hn::Sub(at(1), at(2));
    const Vec outer = hn::Add(at(3), at(4));
    const Vec outer_odd = hn::Sub(at(3), at(4));
    at(0) = hn::Add(at(0), hn::Add(inner, outer));
    at(1) = plus(inner_odd, 2, outer_odd);
    at(2) = plus(inner, 4, outer);
    at(3) = hn::Add(plus(inner_odd, 8, outer_odd), at(5));
}

HWY_INLINE void transform_tile(const PixelRows<const float>& source, std::size_t channels, const float* pixel,
                               float* values) {
    const Tag tag;
    for (std::size_t c = 0; c < channels; c += hn::Lanes(tag)) {
        Vec tile[tile_products];
        for (std::size_t y = 0; y < 6; ++y) {
            for (std::size_t x = 0; x < 6; ++x) {
                tile[6 * y + x] = hn::Load(tag, pixel + y * source.row_floats + x * channels + c);
            }
        }
        for (std::size_t x = 0; x < 6; ++x) transform_line<6>(tile + x);
        for (std::size_t y = 0; y < 6; ++y) transform_line<1>(tile + 6 * y);
        for (std::size_t i = 0; i < tile_products; ++i) {
            hn::Store(tile[i], tag, values + i * value_distance(channels) + c);
        }
    }
}

HWY_INLINE void transform_tile_back(const TileWork& work, const float* values, float* pixel) {
    const Tag tag;
    for (std::size_t c = 0; c < work.outputs; c += hn::Lanes(tag)) {
        Vec tile[tile_products];
        for (std::size_t i = 0; i < tile_products; ++i) {
            tile[i] = hn::Load(tag, values + i * value_distance(work.outputs) + c);
        }
        for (std::size_t x = 0; x < 6; ++x) transform_line_back<6>(tile + x);
        const Vec bias = hn::Load(tag, work.biases + c);
        for (std::size_t y = 0; y < 4; ++y) {
            transform_line_back<1>(tile + 6 * y);
            for (std::size_t x = 0; x < 4; ++x) {
                float* const to = pixel + y * work.result.row_floats + x * work.outputs + c;
                Vec sum = hn::Add(tile[6 * y + x], bias);
                if (work.after == After::relu) sum = hn::Max(sum, hn::Zero(tag));
                if (work.after == After::add) sum = hn::Add(sum, hn::Load(tag, to));
                hn::Store(sum, tag, to);
            }
        }
    }
}

/// For one of the 36 values: `Tiles` tiles times the kernel, `Vectors` vectors of outputs, all sums in registers. Each
/// sum adds its inputs from the first to the last.
template <std::size_t Vectors, std::size_t Tiles>
HWY_INLINE void multiply(const TileWork& work, const float* kernel, const float* tiles, float* to) {
    const Tag tag;
    const std::size_t lanes = hn::Lanes(tag);
    Vec sums[Tiles][Vectors];
    for (auto& row : sums) {
        for (Vec& sum : row) sum = hn::Zero(tag);
    }
    for (std::size_t input = 0; input < work.inputs; ++input) {
        Vec weights[Vectors];
        for (std::size_t v = 0; v < Vectors; ++v) {
            weights[v] = hn::Load(tag, kernel + input * work.outputs + v * lanes);
        }
        for (std::size_t t = 0; t < Tiles; ++t) {
            const Vec value = hn::Set(tag, tiles[t * work.inputs + input]);
            for (std::size_t v = 0; v < Vectors; ++v) sums[t][v] = hn::MulAdd(weights[v], value, sums[t][v]);
        }
    }
    for (std::size_t t = 0; t < Tiles; ++t) {
        for (std::size_t v = 0; v < Vectors; ++v) hn::Store(sums[t][v], tag, to + t * work.outputs + v * lanes);
    }
}

template <std::size_t Vectors, std::size_t Tiles>
void multiply_all(const TileWork& work, std::size_t tiles) {
    static_assert(tiles_at_once % Tiles == 0);
    const std::size_t step = Vectors * hn::Lanes(Tag());
    for (std::size_t i = 0; i < tile_products; ++i) {
        const float* const kernel = work.kernel + i * work.inputs * work.outputs;
        const float* const from = work.before + i * value_distance(work.inputs);
        float* const to = work.behind + i * value_distance(work.outputs);
        for (std::size_t output = 0; output < work.outputs; output += step) {
            for (std::size_t t = 0; t < tiles; t += Tiles) {
                multiply<Vectors, Tiles>(work, kernel + output, from + t * work.inputs, to + t * work.outputs + output);
            }
        }
    }
}

/// As many sums in registers as there are, with room for weights and a value.
void multiply_tiles(const TileWork& work, std::size_t tiles) {
    if (hn::Lanes(Tag()) < base::float_alignment) return multiply_all<2, 6>(work, tiles);  // 16 registers
    switch (work.outputs / base::float_alignment % 12) {                                   // 32 registers
        case 0:
        case 4:
        case 8: return multiply_all<4, 6>(work, tiles);
        case 3:
        case 6:
        case 9: return multiply_all<3, 8>(work, tiles);
        case 2:
        case 10: return multiply_all<2, 12>(work, tiles);
        default: return multiply_all<1, 24>(work, tiles);
    }
}

void convolve_tiles(const TileWork& work) {
    const std::size_t all = work.tile_rows * work.tile_columns;
    for (std::size_t first = 0; first < all; first += tiles_at_once) {
        const std::size_t tiles = std::min(tiles_at_once, all - first);
        const auto place = [&](std::size_t tile, std::size_t row_floats, std::size_t channels) {
            return tile_px *
                   ((first + tile) / work.tile_columns * row_floats + (first + tile) % work.tile_columns * channels);
        };
        for (std::size_t t = 0; t < tiles; ++t) {
            transform_tile(work.source, work.inputs, work.source.first + place(t, work.source.row_floats, work.inputs),
                           work.before + t * work.inputs);
        }
        multiply_tiles(work, tiles);
        for (std::size_t t = 0; t < tiles; ++t) {
            transform_tile_back(work, work.behind + t * work.outputs,
                                work.result.first + place(t, work.result.row_floats, work.outputs));
        }
    }
}

}  // namespace hangtrue::enlarge::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace hangtrue::enlarge {
namespace {

// What a kernel's three taps in a line become.
constexpr double kernel_lines[6][3] = {{1.0 / 4, 0, 0},
                                       {-1.0 / 6, -1.0 / 6, -1.0 / 6},
                                       {-1.0 / 6, 1.0 / 6, -1.0 / 6},
                                       {1.0 / 24, 1.0 / 12, 1.0 / 6},
                                       {1.0 / 24, -1.0 / 12, 1.0 / 6},
                                       {0, 0, 1}};

std::array<double, tile_products> transformed(std::span<const float, 9> taps) {
    std::array<double, tile_products> result{};
    for (std::size_t y = 0; y < 6; ++y) {
        for (std::size_t x = 0; x < 6; ++x) {
            for (std::size_t tap = 0; tap < 9; ++tap) {
                result[6 * y + x] +=
                    kernel_lines[y][tap / 3] * kernel_lines[x][tap % 3] * static_cast<double>(taps[tap]);
            }
        }
    }
    return result;
}

}  // namespace

HWY_EXPORT(convolve_tiles);

int filled_channels(int channels) { return static_cast<int>(base::aligned_floats(static_cast<std::size_t>(channels))); }

WinogradConvolution::WinogradConvolution(const Convolution& plain)
    : m_inputs(filled_channels(plain.inputs)), m_outputs(filled_channels(plain.outputs)) {
    const auto outputs = static_cast<std::size_t>(m_outputs);
    const std::size_t products = static_cast<std::size_t>(m_inputs) * outputs;
    float* const kernel = m_kernel.room_for(tile_products * products);
    std::fill_n(kernel, tile_products * products, 0.0f);
    float* const biases = m_biases.room_for(outputs);
    std::fill(std::copy(plain.biases.begin(), plain.biases.end(), biases), biases + outputs, 0.0f);
    const auto inputs = static_cast<std::size_t>(plain.inputs);
    for (std::size_t output = 0; output < static_cast<std::size_t>(plain.outputs); ++output) {
        for (std::size_t input = 0; input < inputs; ++input) {
            const std::span<const float, 9> taps(plain.kernel.data() + 9 * (output * inputs + input), 9);
            const auto values = transformed(taps);
            for (std::size_t i = 0; i < tile_products; ++i) {
                kernel[i * products + input * outputs + output] = static_cast<float>(values[i]);
            }
        }
    }
}

std::size_t WinogradConvolution::scratch_floats() const {
    return tile_products *
           (value_distance(static_cast<std::size_t>(m_inputs)) + value_distance(static_cast<std::size_t>(m_outputs)));
}

void WinogradConvolution::run(const PixelRows<const float>& source, base::PixelSize part, After after,
                              const PixelRows<float>& result, float* scratch) const {
    const auto inputs = static_cast<std::size_t>(m_inputs);
    HWY_DYNAMIC_DISPATCH(convolve_tiles)
    ({source, result, static_cast<std::size_t>(part.height / tile_px), static_cast<std::size_t>(part.width / tile_px),
      inputs, static_cast<std::size_t>(m_outputs), m_kernel.all().data(), m_biases.all().data(), after, scratch,
      scratch + tile_products * value_distance(inputs)});
}

}  // namespace hangtrue::enlarge
#endif
