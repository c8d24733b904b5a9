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

// Rows kept only as long as they are needed: row y lies where y mod count says.
class RowRing {
  public:
    RowRing() = default;
    RowRing(float* scratch, int count, std::size_t pitch) : m_rows(scratch), m_count(count), m_pitch(pitch) {}
    float* row(int y) const { return m_rows + static_cast<std::size_t>(y % m_count) * m_pitch; }

  private:
    float* m_rows = nullptr;
    int m_count = 1;
    std::size_t m_pitch = 0;
};

std::size_t pitch_of(int width) { return static_cast<std::size_t>(width + kernel::row_padding); }

std::size_t scratch_rows(const Filter& filter) {
    int rows = 2 * halo_px(filter) + 1 + 2 * (2 * extremes_radius(filter) + 1);
    for (const Term& term : filter.terms) rows += 2 * radius_of(term.sigma_px) + 1;
    return static_cast<std::size_t>(rows);
}

struct FilteredTerm {
    std::vector<float> taps;
    float gain = 0;
    int radius = 0;
    RowRing ring;
    std::vector<const float*> rows;
};

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

void apply(const Filter& filter, std::array<float, 3> luminance_weights, const Block& block,
           std::span<float> scratch) {
    const int halo = halo_px(filter);
    const int inner_width = block.width - 2 * halo;
    if (filter.is_off() || inner_width <= 0 || block.height <= 2 * halo) return;
    assert(filter.terms.size() <= 3);
    assert(scratch.size() >= scratch_floats(filter, block.width, block.height));

    const std::size_t pitch = pitch_of(block.width);
    const auto used = scratch.first(scratch_rows(filter) * pitch);
    std::ranges::fill(used, 0.0f);  // Past a row's end vectors compute too; no matter what, but on numbers.
    float* next = used.data();
    const auto ring = [&](int count) {
        const RowRing made(next, count, pitch);
        next += static_cast<std::size_t>(count) * pitch;
        return made;
    };

    const RowRing luminance = ring(2 * halo + 1);
    const int reach = extremes_radius(filter);
    const RowRing least = ring(2 * reach + 1);
    const RowRing greatest = ring(2 * reach + 1);
    std::vector<FilteredTerm> terms;
    for (const Term& term : filter.terms) {
        const int radius = radius_of(term.sigma_px);
        terms.push_back({gaussian_taps(term.sigma_px), static_cast<float>(term.gain), radius, ring(2 * radius + 1),
                         std::vector<const float*>(static_cast<std::size_t>(2 * radius + 1))});
    }
    std::vector<kernel::TermRows> term_rows;
    for (const FilteredTerm& term : terms) term_rows.push_back({term.taps, term.gain, term.rows.data()});
    std::vector<const float*> least_rows(static_cast<std::size_t>(2 * reach + 1));
    std::vector<const float*> greatest_rows(least_rows.size());
    const kernel::Limits limits{static_cast<float>(filter.threshold), static_cast<float>(filter.overshoot_limit),
                                reciprocal(filter.highlight_fade), reciprocal(filter.shadow_fade)};

    const auto plane_row = [&](std::size_t channel, int y) {
        return block.planes[channel] + static_cast<std::size_t>(y) * block.stride;
    };
    const auto add_luminance = [&](int y) {
        kernel::luminance_row({plane_row(0, y), plane_row(1, y), plane_row(2, y)}, luminance_weights,
                              luminance.row(y), block.width);
    };
    const auto add_filtered = [&](const FilteredTerm& term, int y) {
        kernel::filtered_row(luminance.row(y) + halo, term.taps, term.ring.row(y), inner_width);
    };
    const auto add_extremes = [&](int y) {
        kernel::extremes_row(luminance.row(y) + halo, reach, least.row(y), greatest.row(y), inner_width);
    };

    // All but the last row that the first result needs; each result then adds one row below.
    for (int y = 0; y < 2 * halo; ++y) add_luminance(y);
    for (const FilteredTerm& term : terms) {
        for (int y = halo - term.radius; y < halo + term.radius; ++y) add_filtered(term, y);
    }
    for (int y = halo - reach; y < halo + reach; ++y) add_extremes(y);

    for (int y = halo; y < block.height - halo; ++y) {
        add_luminance(y + halo);
        for (FilteredTerm& term : terms) {
            add_filtered(term, y + term.radius);
            for (int r = -term.radius; r <= term.radius; ++r) {
                term.rows[static_cast<std::size_t>(r + term.radius)] = term.ring.row(y + r);
            }
        }
        add_extremes(y + reach);
        for (int r = -reach; r <= reach; ++r) {
            least_rows[static_cast<std::size_t>(r + reach)] = least.row(y + r);
            greatest_rows[static_cast<std::size_t>(r + reach)] = greatest.row(y + r);
        }
        kernel::sharpened_row({luminance.row(y) + halo, term_rows, least_rows, greatest_rows}, limits,
                              {plane_row(0, y) + halo, plane_row(1, y) + halo, plane_row(2, y) + halo}, inner_width);
    }
}

}  // namespace hangtrue::sharpen
