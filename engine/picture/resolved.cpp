// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/resolved.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace hangtrue::picture {
namespace {

constexpr int half_cycle = spectrum_side / 2;
constexpr int first_ring = 3;  // Below it the window has spread the tile's slow changes.

std::size_t wanted_tiles(std::size_t count) { return std::min(count, std::max<std::size_t>(4, count / 50)); }

// The tiles that are strongest a little below a ring: chosen by another band than the one that is then looked at, so
// that none is taken for its noise there.
std::vector<std::size_t> strongest_below(std::span<const TilePower> tiles, int ring) {
    const int from = std::max(1, static_cast<int>(0.6 * ring));
    const int to = std::max(from + 1, static_cast<int>(0.85 * ring) + 1);
    std::vector<double> strength(tiles.size());
    for (std::size_t i = 0; i < tiles.size(); ++i) {
        for (int r = from; r < to; ++r) strength[i] += static_cast<double>(tiles[i].power[static_cast<std::size_t>(r)]);
    }
    std::vector<std::size_t> order(tiles.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const std::size_t count = wanted_tiles(order.size());
    std::ranges::partial_sort(
        order, order.begin() + static_cast<std::ptrdiff_t>(count),
        [&](std::size_t a, std::size_t b) { return strength[a] != strength[b] ? strength[a] > strength[b] : a < b; });
    order.resize(count);
    return order;
}

double mean(const std::array<double, spectrum_rings>& values, int from, int to) {
    double sum = 0;
    for (int ring = from; ring < to; ++ring) sum += values[static_cast<std::size_t>(ring)];
    return sum / (to - from);
}

// Structure falls steeply towards the finest frequencies, by half or more over this stretch even in the crispest
// pictures (measured on photographs reduced four times); white noise does not. So what does not fall is noise, in the
// very tiles that are looked at, however quiet the picture is elsewhere.
void raise_to_plateau(Resolved& result) {
    constexpr int top_from = 78;  // 0.61 to 0.7 cycles a pixel: the corners of the plane of frequencies.
    constexpr int top_to = 90;
    constexpr int below_from = 58;
    constexpr int below_to = 68;
    const double top = mean(result.power, top_from, top_to);
    const double fall = mean(result.power, below_from, below_to) / std::max(top, 1e-12);
    const double trust = std::clamp((1.6 - fall) / 0.3, 0.0, 1.0);
    for (double& noise : result.noise) noise = std::max(noise, trust * top);
}

// A JPEG takes the finest noise, so that it does not go on to the top. But an even stretch remains where structure
// would have fallen by a good half.
void raise_to_stretch(Resolved& result) {
    constexpr double longer = 1.3;
    constexpr double strongest = 150;  // A standard deviation of 12 codes; what is stronger is no noise.
    for (int ring = spectrum_side / 12; longer * ring + 1 < half_cycle; ++ring) {
        const auto r = static_cast<std::size_t>(ring);
        const int end = static_cast<int>(std::lround(longer * ring));
        const double level = mean(result.power, ring, end + 1);
        const double fall = mean(result.power, ring - 1, ring + 2) / mean(result.power, end - 1, end + 2);
        if (level > strongest || fall > 1.3) continue;
        for (std::size_t i = r; i < spectrum_rings; ++i) result.noise[i] = std::max(result.noise[i], level);
        return;
    }
}

// Where the power falls at once to a small part and then goes on evenly, structure ends. What is left beyond is what
// clipping, rounding or coding made of the structure before.
void raise_beyond_cliff(Resolved& result) {
    constexpr int wide = 4;  // So many rings the window takes to let such a fall through.
    // Coding and noise leave a lower cliff; at the lowest frequencies scenes fall as steeply by themselves.
    constexpr int lower_from = 10;
    constexpr int higher_from = 8;
    for (int ring = higher_from; ring + 2 * wide < spectrum_rings; ++ring) {
        const auto r = static_cast<std::size_t>(ring);
        const double before = result.power[r];
        const double behind = result.power[r + wide];
        const double further = result.power[r + 2 * wide];
        const bool is_high = ring >= higher_from && behind * 30 < before && further * 4 > behind;
        const bool is_low = ring >= lower_from && behind * 10 < before && further * 2.5 > behind;
        if (!is_high && !is_low) continue;
        const double left = mean(result.power, ring + wide, ring + 2 * wide);
        for (std::size_t i = r; i < spectrum_rings; ++i) result.noise[i] = std::max(result.noise[i], left);
        return;
    }
}

}  // namespace

double white_noise_power(std::span<const TilePower> tiles) {
    constexpr std::size_t below_from = 50;
    constexpr std::size_t top_from = 78;
    const auto band = [](const TilePower& tile, std::size_t from, std::size_t to) {
        double sum = 0;
        for (std::size_t ring = from; ring < to; ++ring) sum += static_cast<double>(tile.power[ring]);
        return sum / static_cast<double>(to - from);
    };
    // Chosen by the lower band, so that none is taken for being quiet by chance in the one that is told.
    std::vector<std::pair<double, double>> bands;
    for (const TilePower& tile : tiles) {
        if (tile.mean < 16 || tile.mean > 230) continue;  // Curves and clipping press noise together there.
        bands.emplace_back(band(tile, below_from, top_from - 6), band(tile, top_from, spectrum_rings - 1));
    }
    std::ranges::sort(bands);
    const std::size_t count = std::min(bands.size(), std::max<std::size_t>(3, bands.size() / 20));
    double below = 0;
    double top = 0;
    for (std::size_t i = 0; i < count; ++i) {
        below += bands[i].first;
        top += bands[i].second;
    }
    constexpr double even = 1.3;
    return count > 0 && below < even * top && top < even * below ? top / static_cast<double>(count) : 0;
}

Resolved resolved(std::span<const TilePower> tiles, const NoisePower& noise, int tile_side, bool is_coded) {
    Resolved result;
    if (tiles.empty()) return result;
    for (int ring = 1; ring < spectrum_rings; ++ring) {
        const auto r = static_cast<std::size_t>(ring);
        const std::vector<std::size_t> strongest = strongest_below(tiles, ring);
        for (const std::size_t i : strongest) result.power[r] += static_cast<double>(tiles[i].power[r]);
        result.power[r] /= static_cast<double>(strongest.size());
        result.noise[r] = noise(ring_frequency(ring));
    }

    raise_to_plateau(result);
    if (is_coded) raise_to_stretch(result);
    raise_beyond_cliff(result);
    // How many times the noise, less the noise itself.
    const auto stands_above = [&](int ring) {
        const auto r = static_cast<std::size_t>(ring);
        return result.power[r] / result.noise[r] - 1;
    };
    int last = 0;
    for (int ring = first_ring; ring <= half_cycle; ++ring) {
        if (stands_above(ring) > 1) last = ring;
        if (ring - last >= 3 && ring >= first_ring + 2) break;
    }
    if (last == 0) return result;

    result.sharpest = strongest_below(tiles, std::max(4, last));
    double place = last;
    const double here = stands_above(last);
    const double next = std::max(stands_above(last + 1), 0.01);
    if (last == half_cycle && next >= 1) {
        result.cycles_per_px = 0.5;
        return result;
    }
    if (next < 1) place += std::log(here) / (std::log(here) - std::log(next));
    // What ends at once the window spreads over a few bins; what fades by itself is hardly moved.
    const double bin = static_cast<double>(spectrum_side) / tile_side;
    const double inside = stands_above(std::max(first_ring, static_cast<int>(std::lround(place - 2.5 * bin))));
    place -= bin * bins_of_spread(1 / std::max(inside, 2.0));
    result.cycles_per_px = std::min(0.5, ring_frequency(std::max(place, 1.0)));
    return result;
}

}  // namespace hangtrue::picture
