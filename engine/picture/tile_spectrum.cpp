// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/tile_spectrum.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <utility>
#include <vector>

namespace hangtrue::picture {
namespace {

constexpr std::size_t side = spectrum_side;
constexpr std::size_t at_once = 16;  // Columns transformed together: vectors, and all passes within the first cache.

struct Strip {
    std::array<std::array<float, at_once>, side> re;
    std::array<std::array<float, at_once>, side> im;
};

struct Turns {
    std::array<float, side / 2> re;
    std::array<float, side / 2> im;
};

Turns unit_turns() {
    Turns turns{};
    for (std::size_t i = 0; i < side / 2; ++i) {
        const double angle = -2 * std::numbers::pi * static_cast<double>(i) / side;
        turns.re[i] = static_cast<float>(std::cos(angle));
        turns.im[i] = static_cast<float>(std::sin(angle));
    }
    return turns;
}

void butterflies(const Strip& from, Strip& to, std::size_t length, const Turns& turns) {
    const std::size_t half = length / 2;
    const std::size_t step = side / length;
    for (std::size_t p = 0; p < half; ++p) {
        const float turn_re = turns.re[p * step];
        const float turn_im = turns.im[p * step];
        for (std::size_t q = 0; q < step; ++q) {
            const std::size_t a = q + step * p;
            const std::size_t b = a + step * half;
            const std::size_t even = q + step * 2 * p;
            const std::size_t odd = even + step;
            for (std::size_t c = 0; c < at_once; ++c) {
                const float a_re = from.re[a][c];
                const float a_im = from.im[a][c];
                const float b_re = from.re[b][c];
                const float b_im = from.im[b][c];
                const float re = a_re - b_re;
                const float im = a_im - b_im;
                to.re[even][c] = a_re + b_re;
                to.im[even][c] = a_im + b_im;
                to.re[odd][c] = re * turn_re - im * turn_im;
                to.im[odd][c] = re * turn_im + im * turn_re;
            }
        }
    }
}

// The transform down the strip's columns (Stockham's order: no bits are turned round). The result is in `strip`.
void transform(Strip& strip, Strip& other, const Turns& turns) {
    Strip* from = &strip;
    Strip* to = &other;
    for (std::size_t length = side; length > 1; length /= 2) {
        butterflies(*from, *to, length, turns);
        std::swap(from, to);
    }
    if (from != &strip) strip = *from;
}

constexpr std::uint8_t left_out = 255;

std::size_t from_zero(std::size_t k) { return std::min(k, side - k); }

// Ring of each frequency of the half plane; [kx][ky].
std::vector<std::uint8_t> ring_table() {
    constexpr std::size_t grid = side / 8;
    const auto on_grid = [](std::size_t along, std::size_t across) {
        const std::size_t off = along % grid;
        return along >= grid / 2 && std::min(off, grid - off) <= 1 && across <= 2;
    };
    std::vector<std::uint8_t> table((side / 2 + 1) * side, left_out);
    for (std::size_t kx = 0; kx <= side / 2; ++kx) {
        for (std::size_t k = 0; k < side; ++k) {
            const std::size_t ky = from_zero(k);
            if (on_grid(kx, ky) || on_grid(ky, kx)) continue;
            const auto ring = std::lround(std::hypot(static_cast<double>(kx), static_cast<double>(ky)));
            if (ring > 0 && ring < spectrum_rings) table[kx * side + k] = static_cast<std::uint8_t>(ring);
        }
    }
    return table;
}

std::array<float, side> hann(std::size_t length) {
    std::array<float, side> window{};
    for (std::size_t i = 0; i < length; ++i) {
        const double phase = 2 * std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(length);
        window[i] = static_cast<float>(0.5 - 0.5 * std::cos(phase));
    }
    return window;
}

double sum_of_squares(const std::array<float, side>& window) {
    double sum = 0;
    for (const float value : window) sum += static_cast<double>(value) * static_cast<double>(value);
    return sum;
}

double sum_of(const std::array<float, side>& window) {
    double sum = 0;
    for (const float value : window) sum += static_cast<double>(value);
    return sum;
}

}  // namespace

struct TileSpectrum::Scratch {
    std::size_t width = 0;
    std::size_t height = 0;
    std::array<float, side> across{};
    std::array<float, side> down{};
    double window_power = 0;
    double window_sum = 0;
    Turns turns{};
    std::vector<std::uint8_t> rings;
    Strip strip{};
    Strip other{};
    std::vector<float> re, im;            // After the first pass, [x][ky].
    std::vector<float> both_re, both_im;  // After the second, [kx][ky].

    float mean(Tile tile) const {
        double sum = 0;
        for (std::size_t y = 0; y < height; ++y) {
            float row = 0;
            for (std::size_t x = 0; x < width; ++x) row += across[x] * tile.corner[y * tile.stride + x];
            sum += static_cast<double>(down[y]) * static_cast<double>(row);
        }
        return static_cast<float>(sum / window_sum);
    }
};

TileSpectrum::TileSpectrum(int width, int height) : m_scratch(std::make_unique<Scratch>()) {
    assert(width >= 8 && height >= 8 && width <= spectrum_side && height <= spectrum_side);
    Scratch& s = *m_scratch;
    s.width = static_cast<std::size_t>(width);
    s.height = static_cast<std::size_t>(height);
    s.across = hann(s.width);
    s.down = hann(s.height);
    s.window_power = sum_of_squares(s.across) * sum_of_squares(s.down);
    s.window_sum = sum_of(s.across) * sum_of(s.down);
    s.turns = unit_turns();
    s.rings = ring_table();
    for (auto* plane : {&s.re, &s.im, &s.both_re, &s.both_im}) plane->resize(side * side);
}

TileSpectrum::~TileSpectrum() = default;

void TileSpectrum::powers(Tile first, Tile second, RingPowers& of_first, RingPowers& of_second) {
    Scratch& s = *m_scratch;
    const float first_mean = s.mean(first);
    const float second_mean = s.mean(second);
    // Both tiles at once, as real and imaginary part: down the columns, then across.
    for (std::size_t x0 = 0; x0 < side; x0 += at_once) {
        s.strip = {};
        const std::size_t columns = x0 < s.width ? std::min(at_once, s.width - x0) : 0;
        for (std::size_t y = 0; y < s.height; ++y) {
            const float* a = first.corner + y * first.stride + x0;
            const float* b = second.corner + y * second.stride + x0;
            for (std::size_t c = 0; c < columns; ++c) {
                const float weight = s.down[y] * s.across[x0 + c];
                s.strip.re[y][c] = weight * (a[c] - first_mean);
                s.strip.im[y][c] = weight * (b[c] - second_mean);
            }
        }
        if (columns > 0) transform(s.strip, s.other, s.turns);
        for (std::size_t k = 0; k < side; ++k) {
            for (std::size_t c = 0; c < at_once; ++c) {
                s.re[(x0 + c) * side + k] = s.strip.re[k][c];
                s.im[(x0 + c) * side + k] = s.strip.im[k][c];
            }
        }
    }
    for (std::size_t k0 = 0; k0 < side; k0 += at_once) {
        for (std::size_t x = 0; x < side; ++x) {
            for (std::size_t c = 0; c < at_once; ++c) {
                s.strip.re[x][c] = s.re[x * side + k0 + c];
                s.strip.im[x][c] = s.im[x * side + k0 + c];
            }
        }
        transform(s.strip, s.other, s.turns);
        for (std::size_t k = 0; k < side; ++k) {
            for (std::size_t c = 0; c < at_once; ++c) {
                s.both_re[k * side + k0 + c] = s.strip.re[k][c];
                s.both_im[k * side + k0 + c] = s.strip.im[k][c];
            }
        }
    }
    std::array<double, spectrum_rings> first_sums{};
    std::array<double, spectrum_rings> second_sums{};
    std::array<int, spectrum_rings> counts{};
    for (std::size_t kx = 0; kx <= side / 2; ++kx) {
        const std::size_t back_x = (side - kx) % side;
        for (std::size_t ky = 0; ky < side; ++ky) {
            const std::uint8_t ring = s.rings[kx * side + ky];
            if (ring == left_out) continue;
            const std::size_t there = kx * side + ky;
            const std::size_t back = back_x * side + (side - ky) % side;
            const float sum_re = s.both_re[there] + s.both_re[back];
            const float sum_im = s.both_im[there] - s.both_im[back];
            const float difference_re = s.both_im[there] + s.both_im[back];
            const float difference_im = s.both_re[back] - s.both_re[there];
            first_sums[ring] += static_cast<double>(sum_re * sum_re + sum_im * sum_im);
            second_sums[ring] += static_cast<double>(difference_re * difference_re + difference_im * difference_im);
            ++counts[ring];
        }
    }
    for (std::size_t ring = 0; ring < spectrum_rings; ++ring) {
        const double scale = counts[ring] > 0 ? 1 / (4 * s.window_power * counts[ring]) : 0;
        of_first[ring] = static_cast<float>(first_sums[ring] * scale);
        of_second[ring] = static_cast<float>(second_sums[ring] * scale);
    }
}

namespace {

constexpr double spread_step = 0.02;
constexpr std::size_t spread_size = 201;

double sinc(double x) {
    const double angle = std::numbers::pi * x;
    return std::abs(angle) < 1e-9 ? 1 : std::sin(angle) / angle;
}

// The Hann window's own power spectrum, added up from the far end.
const std::array<double, spread_size>& spread_table() {
    static const std::array<double, spread_size> table = [] {
        const auto power = [](double bins) {
            const double value = sinc(bins) + 0.5 * (sinc(bins - 1) + sinc(bins + 1));
            return value * value;
        };
        double beyond = 0;
        for (double bins = 16; bins > spread_step * (spread_size - 1); bins -= spread_step) {
            beyond += spread_step * power(bins - spread_step / 2);
        }
        std::array<double, spread_size> sums{};
        for (std::size_t i = spread_size; i-- > 0;) {
            sums[i] = beyond;
            if (i > 0) beyond += spread_step * power(spread_step * (static_cast<double>(i) - 0.5));
        }
        const double whole = 2 * sums[0];
        for (double& sum : sums) sum /= whole;
        return sums;
    }();
    return table;
}

}  // namespace

double spread_beyond(double bins) {
    const auto& table = spread_table();
    const double place = std::max(bins, 0.0) / spread_step;
    const auto index = static_cast<std::size_t>(place);
    if (index + 1 >= spread_size) return table.back();
    return std::lerp(table[index], table[index + 1], place - static_cast<double>(index));
}

double bins_of_spread(double share) {
    const auto& table = spread_table();
    if (share >= table.front()) return 0;
    for (std::size_t i = 1; i < spread_size; ++i) {
        if (table[i] > share) continue;
        const double along = (table[i - 1] - share) / (table[i - 1] - table[i]);
        return spread_step * (static_cast<double>(i - 1) + along);
    }
    return spread_step * (spread_size - 1);
}

}  // namespace hangtrue::picture
