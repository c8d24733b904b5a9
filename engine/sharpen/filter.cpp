// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/filter.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "engine/optics/mtf.h"
#include "engine/sharpen/kernel.h"
#include "engine/sharpen/taps.h"

namespace hangtrue::sharpen {
namespace {

// How far the overshoot limit looks for the least and greatest luminance: as far as the widest term reaches
// with force, so that a soft edge may be pulled up to the level beyond it.
int extremes_radius(const Filter& filter) {
    double widest = 0;
    for (const Term& term : filter.terms) widest = std::max(widest, term.sigma_px);
    return std::clamp(static_cast<int>(std::ceil(widest)), 1, 3);
}

std::size_t pitch_of(int width) { return static_cast<std::size_t>(width + kernel::row_padding); }

// Luminance of the rows that one row needs, and for that row: each term's filtered columns, the columns' extremes,
// the detail.
std::size_t scratch_rows(const Filter& filter) {
    return static_cast<std::size_t>(2 * halo_px(filter) + 1) + filter.terms.size() + 3;
}

float reciprocal(double range) { return static_cast<float>(1 / std::max(range, 1e-6)); }

}  // namespace

double response(const Filter& filter, double cycles_per_px) {
    double gain = 1;
    for (const Term& term : filter.terms) {
        gain += term.gain * (1 - optics::gaussian_mtf(term.sigma_px, cycles_per_px));
    }
    return gain;
}

int halo_px(const Filter& filter) {
    if (filter.is_off()) return 0;
    int halo = extremes_radius(filter);
    for (const Term& term : filter.terms) halo = std::max(halo, radius_of(term.sigma_px));
    return halo;
}

std::size_t scratch_floats(const Filter& filter, int width, int height) {
    if (filter.is_off() || width <= 0 || height <= 0) return 0;
    return scratch_rows(filter) * pitch_of(width);
}

void apply(const Filter& filter, std::array<float, 3> luminance_weights, const Block& block, std::span<float> scratch) {
    const int halo = halo_px(filter);
    const int inner_width = block.width - 2 * halo;
    if (filter.is_off() || inner_width <= 0 || block.height <= 2 * halo) return;
    assert(filter.terms.size() <= 3);
    assert(scratch.size() >= scratch_floats(filter, block.width, block.height));

    const std::size_t pitch = pitch_of(block.width);
    const auto used = scratch.first(scratch_rows(filter) * pitch);
    std::ranges::fill(used, 0.0f);  // Past a row's end vectors compute too; no matter what, but on numbers.
    float* next = used.data();
    const auto row_of_scratch = [&] {
        float* const row = next;
        next += pitch;
        return row;
    };

    // The luminance ring: row y of the block lies where y mod its size says, as long as it is needed.
    const int ring_size = 2 * halo + 1;
    std::vector<float*> ring(static_cast<std::size_t>(ring_size));
    for (float*& row : ring) row = row_of_scratch();
    std::vector<const float*> window(ring.size());  // The same rows, from the top of the neighbourhood.

    std::vector<std::vector<float>> taps;
    std::vector<kernel::TermRow> term_rows;
    kernel::Taps column_taps{filter.terms.size(), halo, {}};
    std::array<float*, kernel::most_terms> columns{};
    for (const Term& term : filter.terms) taps.push_back(gaussian_taps(term.sigma_px));
    for (std::size_t i = 0; i < taps.size(); ++i) {
        const auto own_length = taps[i].size();
        taps[i].resize(static_cast<std::size_t>(halo) + 1);
        column_taps.taps[i] = taps[i].data();
        columns[i] = row_of_scratch();
        term_rows.push_back(
            {columns[i] + halo, std::span(taps[i]).first(own_length), static_cast<float>(filter.terms[i].gain)});
    }
    float* const least = row_of_scratch();
    float* const greatest = row_of_scratch();
    float* const detail = row_of_scratch();
    const int reach = extremes_radius(filter);
    const kernel::Limits limits{static_cast<float>(filter.threshold), static_cast<float>(filter.overshoot_limit),
                                reciprocal(filter.highlight_fade), reciprocal(filter.shadow_fade)};

    const auto plane_row = [&](std::size_t channel, int y) {
        return block.planes[channel] + static_cast<std::size_t>(y) * block.stride;
    };
    const auto add_luminance = [&](int y) {
        kernel::luminance_row({plane_row(0, y), plane_row(1, y), plane_row(2, y)}, luminance_weights,
                              ring[static_cast<std::size_t>(y % ring_size)], block.width);
    };

    // All but the last row that the first result needs; each result then adds one row below.
    for (int y = 0; y < 2 * halo; ++y) add_luminance(y);
    for (int y = halo; y < block.height - halo; ++y) {
        add_luminance(y + halo);
        for (int i = 0; i < ring_size; ++i) {
            window[static_cast<std::size_t>(i)] = ring[static_cast<std::size_t>((y - halo + i) % ring_size)];
        }
        const float* const luminance = window[static_cast<std::size_t>(halo)] + halo;
        kernel::filtered_columns(window.data(), column_taps, columns, block.width);
        kernel::extreme_columns(std::span<const float* const>(window).subspan(static_cast<std::size_t>(halo - reach),
                                                                              static_cast<std::size_t>(2 * reach + 1)),
                                least, greatest, block.width);
        kernel::detail_row(luminance, term_rows, detail, inner_width);
        kernel::sharpened_row({luminance, detail, least + halo, greatest + halo, reach}, limits,
                              {plane_row(0, y) + halo, plane_row(1, y) + halo, plane_row(2, y) + halo}, inner_width);
    }
}

}  // namespace hangtrue::sharpen
