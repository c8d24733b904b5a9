// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Pictures in memory, read through a RowReader, and ways to draw, blur and spoil them.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <numbers>
#include <random>
#include <span>
#include <vector>

#include "engine/raster/row_reader.h"

namespace hangtrue::test {

class MemoryReader : public raster::RowReader {
  public:
    MemoryReader(raster::PictureInfo info, std::vector<std::byte> samples) : m_samples(std::move(samples)) {
        m_info = std::move(info);
    }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        progress.check();
        m_forwards = m_forwards && first == m_next;
        m_next = first + count;
        const std::size_t row = m_info.bytes_per_row();
        std::memcpy(out.data(), m_samples.data() + static_cast<std::size_t>(first) * row,
                    static_cast<std::size_t>(count) * row);
    }
    /// Every row was read, each once, from the top.
    bool was_read_forwards_once() const { return m_forwards && m_next == m_info.size.height; }

  private:
    std::vector<std::byte> m_samples;
    int m_next = 0;
    bool m_forwards = true;
};

/// One channel of luminance, 0..255, before it is quantised.
struct Grey {
    int width = 0;
    int height = 0;
    std::vector<double> values;

    Grey(int w, int h, double value = 0)
        : width(w), height(h), values(static_cast<std::size_t>(w) * static_cast<std::size_t>(h), value) {}
    double& at(int x, int y) { return values[index(x, y)]; }
    double at(int x, int y) const { return values[index(x, y)]; }
    std::size_t index(int x, int y) const {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x);
    }
};

inline MemoryReader reader_of(const Grey& grey, raster::SampleModel model, int bits) {
    raster::PictureInfo info;
    info.size = {grey.width, grey.height};
    info.model = model;
    info.bits = bits;
    std::vector<std::byte> samples;
    samples.reserve(info.bytes_per_row() * static_cast<std::size_t>(grey.height));
    for (const double value : grey.values) {
        for (int c = 0; c < info.channels(); ++c) {
            if (bits == 8) {
                samples.push_back(static_cast<std::byte>(std::lround(std::clamp(value, 0.0, 255.0))));
            } else {
                const auto code = static_cast<std::uint16_t>(std::lround(std::clamp(value, 0.0, 255.0) * 257));
                std::byte bytes[2];
                std::memcpy(bytes, &code, 2);
                samples.insert(samples.end(), bytes, bytes + 2);
            }
        }
    }
    return {std::move(info), std::move(samples)};
}

/// Overlapping flat shapes of all directions, each pixel the mean of 4 x 4 points in it: a picture of sharp edges
/// as a perfect camera without blur of its own would take it.
inline Grey shapes(int width, int height, std::uint64_t seed) {
    struct Disc {
        double x, y, radius, value, flat;
    };
    std::mt19937_64 random(seed);
    const auto uniform = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    std::vector<Disc> discs;
    const double smaller = std::min(width, height);
    for (int i = 0; i < 40; ++i) {
        discs.push_back(
            {uniform(0, width), uniform(0, height), uniform(0.08, 0.3) * smaller, uniform(30, 225), uniform(0.4, 1.6)});
    }
    const auto reach = [](const Disc& disc, double px, double py) {
        return std::hypot((px - disc.x) * disc.flat, (py - disc.y) / disc.flat) - disc.radius;
    };
    const auto value_at = [&](double px, double py) {
        double value = 60 + 100 * px / width;
        for (const Disc& disc : discs) {
            if (reach(disc, px, py) < 0) value = disc.value + 20 * py / height;
        }
        return value;
    };
    Grey grey(width, height);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            // Where no edge crosses the pixel its centre says it all.
            const bool is_crossed = std::ranges::any_of(
                discs, [&](const Disc& disc) { return std::abs(reach(disc, x + 0.5, y + 0.5)) < 2; });
            if (!is_crossed) {
                grey.at(x, y) = value_at(x + 0.5, y + 0.5);
                continue;
            }
            double sum = 0;
            for (int i = 0; i < 16; ++i) sum += value_at(x + (i % 4 + 0.5) / 4, y + (i / 4 + 0.5) / 4);
            grey.at(x, y) = sum / 16;
        }
    }
    return grey;
}

/// Discs on discs, far more small ones than large: edges and texture at every scale, as photographs have them (the
/// dead leaves of Lee, Mumford, Huang 2001). Each pixel the mean of 4 x 4 points, as in shapes().
inline Grey leaves(int width, int height, std::uint64_t seed) {
    constexpr int finer = 4;
    std::mt19937_64 random(seed);
    const auto uniform = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    Grey fine(finer * width, finer * height, 128);
    constexpr double smallest = 1.5 * finer;
    constexpr double largest = 40 * finer;
    const int count = fine.width * fine.height / (finer * finer * 20);
    for (int i = 0; i < count; ++i) {
        // Density of radii as r^-3.
        const double share = uniform(0, 1);
        const double radius = 1 / std::sqrt(std::lerp(1 / (smallest * smallest), 1 / (largest * largest), share));
        const double x = uniform(0, fine.width);
        const double y = uniform(0, fine.height);
        const double value = uniform(30, 225);
        for (int v = std::max(0, static_cast<int>(y - radius));
             v < std::min(fine.height, static_cast<int>(y + radius) + 1); ++v) {
            for (int u = std::max(0, static_cast<int>(x - radius));
                 u < std::min(fine.width, static_cast<int>(x + radius) + 1); ++u) {
                if (std::hypot(u + 0.5 - x, v + 0.5 - y) < radius) fine.at(u, v) = value;
            }
        }
    }
    Grey grey(width, height);
    for (int y = 0; y < fine.height; ++y) {
        for (int x = 0; x < fine.width; ++x) grey.at(x / finer, y / finer) += fine.at(x, y) / (finer * finer);
    }
    return grey;
}

inline Grey blurred(const Grey& grey, double sigma) {
    if (sigma <= 0) return grey;
    const int radius = static_cast<int>(std::ceil(4 * sigma));
    std::vector<double> taps;
    double total = 0;
    for (int k = -radius; k <= radius; ++k) {
        // The Gaussian's mean over the pixel: right for small sigmas too.
        const double scale = sigma * std::sqrt(2.0);
        taps.push_back(0.5 * (std::erf((k + 0.5) / scale) - std::erf((k - 0.5) / scale)));
        total += taps.back();
    }
    Grey across = grey;
    Grey both = grey;
    for (int pass = 0; pass < 2; ++pass) {
        const Grey& from = pass == 0 ? grey : across;
        Grey& to = pass == 0 ? across : both;
        for (int y = 0; y < grey.height; ++y) {
            for (int x = 0; x < grey.width; ++x) {
                double sum = 0;
                for (int k = -radius; k <= radius; ++k) {
                    const int u = pass == 0 ? std::clamp(x + k, 0, grey.width - 1) : x;
                    const int v = pass == 1 ? std::clamp(y + k, 0, grey.height - 1) : y;
                    sum += taps[static_cast<std::size_t>(k + radius)] * from.at(u, v);
                }
                to.at(x, y) = sum / total;
            }
        }
    }
    return both;
}

inline void add_noise(Grey& grey, double sd, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> noise(0, sd);
    for (double& value : grey.values) value += noise(random);
}

/// Noise of standard deviation `sd` whose neighbours share a part, as demosaicing leaves it: white noise filtered by
/// (0.15 0.7 0.15) along both axes.
inline void add_demosaiced_noise(Grey& grey, double sd, std::uint64_t seed) {
    Grey noise(grey.width, grey.height);
    add_noise(noise, sd / (0.7 * 0.7 + 2 * 0.15 * 0.15), seed);
    const auto wrapped = [&](int x, int y) {
        return noise.at((x + noise.width) % noise.width, (y + noise.height) % noise.height);
    };
    for (int y = 0; y < grey.height; ++y) {
        for (int x = 0; x < grey.width; ++x) {
            for (int v = -1; v <= 1; ++v) {
                for (int u = -1; u <= 1; ++u)
                    grey.at(x, y) += (u == 0 ? 0.7 : 0.15) * (v == 0 ? 0.7 : 0.15) * wrapped(x + u, y + v);
            }
        }
    }
}

/// Orthonormal discrete cosine transform of 8 x 8 pixels, or back, by its definition.
inline std::array<double, 64> cosine_transform(const std::array<double, 64>& from, bool back) {
    static const auto basis = [] {
        std::array<std::array<double, 8>, 8> rows{};
        for (std::size_t k = 0; k < 8; ++k) {
            for (std::size_t x = 0; x < 8; ++x) {
                rows[k][x] = std::sqrt((k == 0 ? 1.0 : 2.0) / 8) *
                             std::cos(std::numbers::pi * (static_cast<double>(x) + 0.5) * static_cast<double>(k) / 8);
            }
        }
        return rows;
    }();
    std::array<double, 64> to{};
    for (std::size_t i = 0; i < 64; ++i) {
        for (std::size_t j = 0; j < 64; ++j) {
            const std::size_t k = back ? j : i;
            const std::size_t x = back ? i : j;
            to[i] += basis[k % 8][x % 8] * basis[k / 8][x / 8] * from[j];
        }
    }
    return to;
}

/// What quantising as a JPEG does: the luminance table of ITU-T T.81 annex K, scaled for `quality` 50 to 100 as common
/// coders do. Sides must be multiples of 8.
inline Grey coded(const Grey& grey, int quality) {
    constexpr std::array table{16, 11, 10, 16, 24,  40,  51,  61,  12, 12, 14, 19, 26,  58,  60,  55,
                               14, 13, 16, 24, 40,  57,  69,  56,  14, 17, 22, 29, 51,  87,  80,  62,
                               18, 22, 37, 56, 68,  109, 103, 77,  24, 35, 55, 64, 81,  104, 113, 92,
                               49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99};
    Grey result(grey.width, grey.height);
    for (int top = 0; top < grey.height; top += 8) {
        for (int left = 0; left < grey.width; left += 8) {
            std::array<double, 64> block{};
            for (int i = 0; i < 64; ++i)
                block[static_cast<std::size_t>(i)] = std::round(grey.at(left + i % 8, top + i / 8)) - 128;
            block = cosine_transform(block, false);
            for (std::size_t i = 0; i < 64; ++i) {
                const int step = std::max((table[i] * (200 - 2 * quality) + 50) / 100, 1);
                block[i] = step * std::round(block[i] / step);
            }
            block = cosine_transform(block, true);
            for (int i = 0; i < 64; ++i)
                result.at(left + i % 8, top + i / 8) = block[static_cast<std::size_t>(i)] + 128;
        }
    }
    return result;
}

}  // namespace hangtrue::test
