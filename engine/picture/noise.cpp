// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/noise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <tuple>
#include <vector>

namespace hangtrue::picture {
namespace {

constexpr int block_side = 8;
constexpr int block_step = 4;
constexpr int blocks_along = (tile_side - block_side) / block_step + 1;

using Row = std::array<float, block_side>;
using Square = std::array<Row, block_side>;

// Coefficient k of sample x stands at [k][x]: the DCT-II with orthonormal rows (Ahmed, Natarajan, Rao 1974).
Square cosines() {
    Square rows{};
    for (int k = 0; k < block_side; ++k) {
        for (int x = 0; x < block_side; ++x) {
            const double scale = std::sqrt((k == 0 ? 1.0 : 2.0) / block_side);
            rows[static_cast<std::size_t>(k)][static_cast<std::size_t>(x)] =
                static_cast<float>(scale * std::cos(std::numbers::pi * (x + 0.5) * k / block_side));
        }
    }
    return rows;
}

Square transposed(const Square& square) {
    Square result{};
    for (std::size_t i = 0; i < block_side; ++i) {
        for (std::size_t j = 0; j < block_side; ++j) result[j][i] = square[i][j];
    }
    return result;
}

// Sums over a tile's blocks of each coefficient's square.
Square energies(const float* corner, std::size_t stride) {
    static const Square basis = cosines();
    static const Square basis_by_sample = transposed(basis);
    Square sums{};
    for (std::size_t block_y = 0; block_y < blocks_along; ++block_y) {
        // Transformed down, for all of the tile's columns at once.
        std::array<std::array<float, tile_side>, block_side> down{};
        for (std::size_t k = 0; k < block_side; ++k) {
            for (std::size_t y = 0; y < block_side; ++y) {
                const float* row = corner + (block_y * block_step + y) * stride;
                const float factor = basis[k][y];
                for (std::size_t x = 0; x < tile_side; ++x) down[k][x] += factor * row[x];
            }
        }
        for (std::size_t block_x = 0; block_x < blocks_along; ++block_x) {
            for (std::size_t k = 0; k < block_side; ++k) {
                Row both{};
                for (std::size_t x = 0; x < block_side; ++x) {
                    const float value = down[k][block_x * block_step + x];
                    for (std::size_t l = 0; l < block_side; ++l) both[l] += value * basis_by_sample[x][l];
                }
                for (std::size_t l = 0; l < block_side; ++l) sums[k][l] += both[l] * both[l];
            }
        }
    }
    return sums;
}

template <typename InBand>
float mean_of(const Square& sums, const InBand& in_band) {
    float sum = 0;
    int count = 0;
    for (int k = 0; k < block_side; ++k) {
        for (int l = 0; l < block_side; ++l) {
            if (!in_band(k, l)) continue;
            sum += sums[static_cast<std::size_t>(k)][static_cast<std::size_t>(l)];
            ++count;
        }
    }
    return sum / static_cast<float>(count * blocks_along * blocks_along);
}

bool is_mid(int k, int l) { return k >= 1 && l >= 1 && 4 * (k * k + l * l) >= 25 && 4 * (k * k + l * l) < 81; }
bool is_fine(int k, int l) { return 4 * (k * k + l * l) >= 81; }
bool is_diagonal(int k, int l) { return k >= 4 && l >= 4; }

// 0 below `from`, 1 above `to`, smooth between.
double risen(double value, double from, double to) {
    const double t = std::clamp((value - from) / (to - from), 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

struct Means {
    double low = 0;
    double mid = 0;
    double fine = 0;
    double across = 0;
    double diagonal = 0;
    double corner = 0;
};

Means means_of(std::span<const TileBands> tiles, double rounding_variance) {
    Means sums;
    for (const TileBands& tile : tiles) {
        sums.low += static_cast<double>(tile.low);
        sums.mid += static_cast<double>(tile.mid);
        sums.fine += static_cast<double>(tile.fine);
        sums.across += static_cast<double>(tile.across);
        sums.diagonal += static_cast<double>(tile.diagonal);
        sums.corner += static_cast<double>(tile.corner);
    }
    const auto mean = [&](double sum) {
        return std::max(sum / static_cast<double>(tiles.size()) - rounding_variance, 0.0);
    };
    return {mean(sums.low), mean(sums.mid), mean(sums.fine), mean(sums.across), mean(sums.diagonal), mean(sums.corner)};
}

// All values, so that the order is the same however the tiles came.
auto all_of(const TileBands& tile) {
    return std::tie(tile.low, tile.mid, tile.fine, tile.across, tile.diagonal, tile.corner, tile.mean);
}

// White noise is as strong in the corner as beside it; texture at most a quarter as strong there, mostly less
// (measured on photographs). So the corner, less what texture may have brought, is noise.
double white_variance(std::vector<TileBands> tiles, double rounding_variance) {
    // The quietest, by what is not measured here, so that no tile is taken because its noise is small by chance
    // (Ponomarenko, Lukin et al. 2007 choose blocks so).
    const auto quietness = [](const TileBands& tile) { return 0.2f * tile.low + tile.mid + tile.across; };
    std::ranges::sort(tiles, [&](const TileBands& a, const TileBands& b) {
        const float first = quietness(a);
        const float second = quietness(b);
        return first != second ? first < second : all_of(a) < all_of(b);
    });
    const std::size_t count = tiles.size();
    const std::size_t wanted = std::max<std::size_t>(4, std::min(count * 12 / 100, 16 + count / 100));
    const Means means = means_of(std::span(tiles).first(std::min(wanted, count)), rounding_variance);

    constexpr double texture_in_corner = 0.25;
    const double from_corner =
        std::max((means.corner - texture_in_corner * means.across) / (1 - texture_in_corner), 0.0);
    // Where the corner shows that there is little else, all of the diagonal tells it with less chance.
    const double flatness = means.across > 0 ? risen(means.corner / means.across, 0.6, 0.9) : 0;
    return from_corner + (means.diagonal - from_corner) * flatness;
}

struct Coloured {
    double mid = 0;
    double fine = 0;
};

// Noise whose finest part is gone (by demosaicing, or by a JPEG's quantisation) falls towards high frequencies as
// texture does. It is told by three things together (measured on photographs): it is the same over a good part of the
// picture, it is weak, and below a quarter cycle it is nearly white still, where texture has fallen to less than half.
Coloured coloured_variance(std::vector<TileBands> tiles, double rounding_variance) {
    std::ranges::sort(tiles, [](const TileBands& a, const TileBands& b) { return all_of(a) < all_of(b); });
    const std::size_t count = tiles.size();
    const std::span<const TileBands> all(tiles);
    const double quietest = means_of(all.first(std::min(count, std::max<std::size_t>(4, count / 200))), 0).low;
    const auto end = std::ranges::find_if(all, [&](const TileBands& tile) {
        return static_cast<double>(tile.low) > 2.2 * quietest;  // The spread of nine coefficients in a tile.
    });
    const auto alike = static_cast<std::size_t>(end - all.begin());
    if (alike == 0) return {};
    // Of these the upper half: noise that grows with light, or towards the corners, is to be told where it shows.
    const Means means = means_of(all.subspan(alike / 2, alike - alike / 2), rounding_variance);
    if (!(means.mid > 0)) return {};
    const double trust = risen(static_cast<double>(alike), 20, 60) *
                         risen(static_cast<double>(alike) / static_cast<double>(count), 0.01, 0.03) *
                         (1 - risen(std::sqrt(means.low), 9, 14)) *
                         (1 - risen(std::sqrt(means.low / means.mid), 1.5, 2.2));
    return {trust * means.mid, trust * means.fine};
}

}  // namespace

std::optional<TileBands> tile_bands(const float* corner, std::size_t stride) {
    constexpr int pixels = tile_side * tile_side;
    int clipped = 0;
    float sum = 0;
    for (std::size_t y = 0; y < tile_side; ++y) {
        for (std::size_t x = 0; x < tile_side; ++x) {
            const float luminance = corner[y * stride + x];
            clipped += luminance <= 0.5f || luminance >= 254.5f;
            sum += luminance;
        }
    }
    if (clipped * 100 > pixels) return std::nullopt;

    const Square sums = energies(corner, stride);
    TileBands bands;
    bands.mean = sum / pixels;
    bands.low = mean_of(sums, [](int k, int l) { return k + l >= 1 && k + l <= 3; });
    bands.mid = mean_of(sums, is_mid);
    bands.fine = mean_of(sums, is_fine);
    bands.across = mean_of(sums, [](int k, int l) { return k >= 1 && l >= 1 && is_fine(k, l) && !is_diagonal(k, l); });
    bands.diagonal = mean_of(sums, is_diagonal);
    bands.corner = mean_of(sums, [](int k, int l) { return k >= 6 && l >= 6; });
    return bands;
}

optics::Noise noise_of(std::span<const TileBands> tiles, double rounding_variance) {
    // Near white and black curves and clipping press the noise together: what is there does not stand for the rest.
    std::vector<TileBands> chosen;
    std::ranges::copy_if(tiles, std::back_inserter(chosen),
                         [](const TileBands& tile) { return tile.mean > 16 && tile.mean < 230; });
    if (chosen.size() < 4) chosen.assign(tiles.begin(), tiles.end());
    if (chosen.empty()) return {};

    const double white = white_variance(chosen, rounding_variance);
    const Coloured coloured = coloured_variance(std::move(chosen), rounding_variance);
    const double coarse = std::max(white, coloured.mid) * optics::white_coarse_share;
    const double fine = std::max(white, coloured.fine) * (1 - optics::white_coarse_share);
    if (!(coarse + fine > 0)) return {};
    return {std::sqrt(coarse + fine), coarse / (coarse + fine)};
}

std::vector<NoiseAtBrightness> noise_by_brightness(std::span<const TileBands> tiles, double rounding_variance) {
    constexpr std::size_t brightness_steps = 8;
    constexpr std::size_t least_tiles = 40;
    std::array<std::vector<TileBands>, brightness_steps> by_step;
    for (const TileBands& tile : tiles) {
        const auto step = static_cast<std::size_t>(std::clamp(static_cast<double>(tile.mean) / 32, 0.0, 7.0));
        by_step[step].push_back(tile);
    }
    std::vector<NoiseAtBrightness> result;
    for (const std::vector<TileBands>& alike : by_step) {
        if (alike.size() < least_tiles) continue;
        double sum = 0;
        for (const TileBands& tile : alike) sum += static_cast<double>(tile.mean);
        result.push_back({sum / static_cast<double>(alike.size()), noise_of(alike, rounding_variance).sd_8bit});
    }
    return result;
}

}  // namespace hangtrue::picture
