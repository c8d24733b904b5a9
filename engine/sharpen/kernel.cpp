// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/kernel.h"

#include <algorithm>

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "engine/sharpen/kernel.cpp"
#include "hwy/foreach_target.h"
// After foreach_target:
#include "hwy/highway.h"

HWY_BEFORE_NAMESPACE();
namespace hangtrue::sharpen::kernel {
namespace HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;
using D = hn::ScalableTag<float>;
using V = hn::Vec<D>;

void LuminanceVector(const float* r, const float* g, const float* b, const std::array<float, 3>& weights, float* out) {
    const D d;
    V sum = hn::Mul(hn::Set(d, weights[0]), hn::LoadU(d, r));
    sum = hn::MulAdd(hn::Set(d, weights[1]), hn::LoadU(d, g), sum);
    sum = hn::MulAdd(hn::Set(d, weights[2]), hn::LoadU(d, b), sum);
    hn::StoreU(sum, d, out);
}

void LuminanceRow(const std::array<const float*, 3>& planes, const std::array<float, 3>& weights, float* out, int n) {
    const int lanes = static_cast<int>(hn::Lanes(D()));
    int x = 0;
    for (; x + lanes <= n; x += lanes) {
        LuminanceVector(planes[0] + x, planes[1] + x, planes[2] + x, weights, out + x);
    }
    if (x < n) {
        // The planes may end with the row: the last few columns go through a vector of their own.
        float tail[3][hn::MaxLanes(D())] = {};
        for (std::size_t c = 0; c < 3; ++c) std::copy(planes[c] + x, planes[c] + n, tail[c]);
        LuminanceVector(tail[0], tail[1], tail[2], weights, out + x);
    }
}

// Four vectors at once, so that a tap and a row's address are loaded once for all four.
constexpr int unrolled = 4;

template <std::size_t terms>
void FilteredColumnsOf(const float* const* rows, const Taps& taps, const std::array<float*, most_terms>& out, int n) {
    constexpr int vectors = terms == 1 ? 4 : 2;  // As many sums as registers hold.
    const D d;
    const int lanes = static_cast<int>(hn::Lanes(d));
    const float* const* centre = rows + taps.radius;
    for (int x = 0; x < n; x += vectors * lanes) {
        V sums[terms][vectors];
        for (int i = 0; i < vectors; ++i) {
            const V value = hn::LoadU(d, centre[0] + x + i * lanes);
            for (std::size_t t = 0; t < terms; ++t) sums[t][i] = hn::Mul(hn::Set(d, taps.taps[t][0]), value);
        }
        for (int r = 1; r <= taps.radius; ++r) {
            const float* above = centre[-r] + x;
            const float* below = centre[r] + x;
            for (int i = 0; i < vectors; ++i) {
                const V pair = hn::Add(hn::LoadU(d, above + i * lanes), hn::LoadU(d, below + i * lanes));
                for (std::size_t t = 0; t < terms; ++t) {
                    sums[t][i] = hn::MulAdd(hn::Set(d, taps.taps[t][r]), pair, sums[t][i]);
                }
            }
        }
        for (std::size_t t = 0; t < terms; ++t) {
            for (int i = 0; i < vectors; ++i) hn::StoreU(sums[t][i], d, out[t] + x + i * lanes);
        }
    }
}

void FilteredColumns(const float* const* rows, const Taps& taps, const std::array<float*, most_terms>& out, int n) {
    switch (taps.terms) {
        case 1: FilteredColumnsOf<1>(rows, taps, out, n); break;
        case 2: FilteredColumnsOf<2>(rows, taps, out, n); break;
        default: FilteredColumnsOf<3>(rows, taps, out, n); break;
    }
}

void ExtremeColumns(std::span<const float* const> rows, float* least, float* greatest, int n) {
    const D d;
    const int lanes = static_cast<int>(hn::Lanes(d));
    for (int x = 0; x < n; x += 2 * lanes) {
        V low0 = hn::LoadU(d, rows[0] + x);
        V low1 = hn::LoadU(d, rows[0] + x + lanes);
        V high0 = low0;
        V high1 = low1;
        for (std::size_t row = 1; row < rows.size(); ++row) {
            const V value0 = hn::LoadU(d, rows[row] + x);
            const V value1 = hn::LoadU(d, rows[row] + x + lanes);
            low0 = hn::Min(low0, value0);
            low1 = hn::Min(low1, value1);
            high0 = hn::Max(high0, value0);
            high1 = hn::Max(high1, value1);
        }
        hn::StoreU(low0, d, least + x);
        hn::StoreU(low1, d, least + x + lanes);
        hn::StoreU(high0, d, greatest + x);
        hn::StoreU(high1, d, greatest + x + lanes);
    }
}

void DetailRow(const float* luminance, std::span<const TermRow> terms, float* detail, int n) {
    const D d;
    const int lanes = static_cast<int>(hn::Lanes(d));
    for (int x = 0; x < n; x += unrolled * lanes) {
        V added[unrolled];
        for (V& each : added) each = hn::Zero(d);
        for (const TermRow& term : terms) {
            const float* at = term.columns + x;
            const int radius = static_cast<int>(term.taps.size()) - 1;
            V sums[unrolled];
            const V centre = hn::Set(d, term.taps[0]);
            for (int i = 0; i < unrolled; ++i) sums[i] = hn::Mul(centre, hn::LoadU(d, at + i * lanes));
            for (int r = 1; r <= radius; ++r) {
                const V tap = hn::Set(d, term.taps[static_cast<std::size_t>(r)]);
                for (int i = 0; i < unrolled; ++i) {
                    const V pair = hn::Add(hn::LoadU(d, at + i * lanes - r), hn::LoadU(d, at + i * lanes + r));
                    sums[i] = hn::MulAdd(tap, pair, sums[i]);
                }
            }
            const V gain = hn::Set(d, term.gain);
            for (int i = 0; i < unrolled; ++i) {
                added[i] = hn::MulAdd(gain, hn::Sub(hn::LoadU(d, luminance + x + i * lanes), sums[i]), added[i]);
            }
        }
        for (int i = 0; i < unrolled; ++i) hn::StoreU(added[i], d, detail + x + i * lanes);
    }
}

// 0 up to t = 0, 1 from t = 1, smooth between.
HWY_INLINE V SmoothStep(V t) {
    const D d;
    const V clamped = hn::Min(hn::Max(t, hn::Zero(d)), hn::Set(d, 1.0f));
    return hn::Mul(hn::Mul(clamped, clamped), hn::NegMulAdd(hn::Set(d, 2.0f), clamped, hn::Set(d, 3.0f)));
}

// `excess` up to half of `room` as it is, from there bent towards a bound: 1.5 room - room^2 / (2 most), which is
// most where room = most, and never more. `room` lies in 0 .. most; no division by it, so it may be 0.
HWY_INLINE V Bent(V excess, V room, V per_twice_most) {
    const D d;
    const V half = hn::Mul(hn::Set(d, 0.5f), room);
    const V above = hn::Min(hn::Max(hn::Sub(excess, half), hn::Zero(d)), room);
    return hn::Add(hn::Min(excess, half), hn::NegMulAdd(hn::Mul(above, above), per_twice_most, above));
}

HWY_INLINE V Change(const Neighbourhood& from, const Limits& limits, int x) {
    const D d;
    const V one = hn::Set(d, 1.0f);
    const V luminance = hn::LoadU(d, from.luminance + x);
    V detail = hn::LoadU(d, from.detail + x);

    // Detail of the noise's size fades out: by r^4 / (1 + r^4) with r = (detail / threshold)^2. The tiny number
    // keeps a flat field's rounding errors away where nothing is noise; the bound keeps r^4 a number.
    const V per_threshold = hn::Set(d, 1.0f / (limits.threshold * limits.threshold + 1e-12f));
    const V ratio = hn::Min(hn::Mul(hn::Mul(detail, detail), per_threshold), hn::Set(d, 1e6f));
    const V square = hn::Mul(ratio, ratio);
    const V fourth = hn::Mul(square, square);
    detail = hn::Mul(detail, hn::Div(fourth, hn::Add(fourth, one)));

    // The two fades do not overlap: the nearer end decides.
    const V per_highlight = hn::Set(d, limits.per_highlight_fade);
    const V per_shadow = hn::Set(d, limits.per_shadow_fade);
    const V from_white = hn::Mul(hn::Sub(one, luminance), per_highlight);
    detail = hn::Mul(detail, SmoothStep(hn::Min(from_white, hn::Mul(luminance, per_shadow))));

    V least = hn::LoadU(d, from.least + x);
    V greatest = hn::LoadU(d, from.greatest + x);
    for (int r = 1; r <= from.reach; ++r) {
        least = hn::Min(least, hn::Min(hn::LoadU(d, from.least + x - r), hn::LoadU(d, from.least + x + r)));
        greatest = hn::Max(greatest, hn::Max(hn::LoadU(d, from.greatest + x - r), hn::LoadU(d, from.greatest + x + r)));
    }
    // The room to pass a neighbour shrinks near the ends too, so that no halo burns out beside a white.
    const V overshoot = hn::Set(d, limits.overshoot);
    const V per_twice_overshoot = hn::Set(d, 0.5f / (limits.overshoot + 1e-9f));
    const V room_above = hn::Mul(overshoot, SmoothStep(hn::Mul(hn::Sub(one, greatest), per_highlight)));
    const V room_below = hn::Mul(overshoot, SmoothStep(hn::Mul(least, per_shadow)));
    const V wanted = hn::Add(luminance, detail);
    const V below_top = hn::Add(greatest, Bent(hn::Sub(wanted, greatest), room_above, per_twice_overshoot));
    const V limited = hn::Sub(least, Bent(hn::Sub(least, below_top), room_below, per_twice_overshoot));
    return hn::Sub(limited, luminance);
}

void SharpenedRow(const Neighbourhood& from, const Limits& limits, const std::array<float*, 3>& planes, int n) {
    const D d;
    const int lanes = static_cast<int>(hn::Lanes(d));
    int x = 0;
    for (; x + lanes <= n; x += lanes) {
        const V change = Change(from, limits, x);
        for (float* plane : planes) hn::StoreU(hn::Add(hn::LoadU(d, plane + x), change), d, plane + x);
    }
    if (x < n) {
        float changes[hn::MaxLanes(D())];
        hn::StoreU(Change(from, limits, x), d, changes);
        for (float* plane : planes) {
            for (int i = 0; x + i < n; ++i) plane[x + i] += changes[i];
        }
    }
}

}  // namespace HWY_NAMESPACE
}  // namespace hangtrue::sharpen::kernel
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace hangtrue::sharpen::kernel {

HWY_EXPORT(LuminanceRow);
HWY_EXPORT(FilteredColumns);
HWY_EXPORT(ExtremeColumns);
HWY_EXPORT(DetailRow);
HWY_EXPORT(SharpenedRow);

void luminance_row(const std::array<const float*, 3>& planes, const std::array<float, 3>& weights, float* out, int n) {
    HWY_DYNAMIC_DISPATCH(LuminanceRow)(planes, weights, out, n);
}

void filtered_columns(const float* const* rows, const Taps& taps, const std::array<float*, most_terms>& out, int n) {
    HWY_DYNAMIC_DISPATCH(FilteredColumns)(rows, taps, out, n);
}

void extreme_columns(std::span<const float* const> rows, float* least, float* greatest, int n) {
    HWY_DYNAMIC_DISPATCH(ExtremeColumns)(rows, least, greatest, n);
}

void detail_row(const float* luminance, std::span<const TermRow> terms, float* detail, int n) {
    HWY_DYNAMIC_DISPATCH(DetailRow)(luminance, terms, detail, n);
}

void sharpened_row(const Neighbourhood& from, const Limits& limits, const std::array<float*, 3>& planes, int n) {
    HWY_DYNAMIC_DISPATCH(SharpenedRow)(from, limits, planes, n);
}

}  // namespace hangtrue::sharpen::kernel
#endif  // HWY_ONCE
