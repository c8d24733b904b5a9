// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Pictures in memory, read through a RowReader, and ways to draw, blur and spoil them.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
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
        std::memcpy(out.data(), m_samples.data() + static_cast<std::size_t>(first) * row, static_cast<std::size_t>(count) * row);
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

    Grey(int w, int h, double value = 0) : width(w), height(h), values(static_cast<std::size_t>(w) * static_cast<std::size_t>(h), value) {}
    double& at(int x, int y) { return values[index(x, y)]; }
    double at(int x, int y) const { return values[index(x, y)]; }
    std::size_t index(int x, int y) const { return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x); }
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
    struct Disc { double x, y, radius, value, flat; };
    std::mt19937_64 random(seed);
    const auto uniform = [&](double low, double high) { return std::uniform_real_distribution<double>(low, high)(random); };
    std::vector<Disc> discs;
    const double smaller = std::min(width, height);
    for (int i = 0; i < 40; ++i) {
        discs.push_back({uniform(0, width), uniform(0, height), uniform(0.08, 0.3) * smaller, uniform(30, 225), uniform(0.4, 1.6)});
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
            const bool is_crossed = std::ranges::any_of(discs, [&](const Disc& disc) {
                return std::abs(reach(disc, x + 0.5, y + 0.5)) < 2;
            });
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

}  // namespace hangtrue::test
