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

void LuminanceVector(const float* r, const float* g, const float* b, const std::array<float, 3>& weights,
                     float* out) {
    const D d;
    V sum = hn::Mul(hn::Set(d, weights[0]), hn::LoadU(d, r));
    sum = hn::MulAdd(hn::Set(d, weights[1]), hn::LoadU(d, g), sum);
    sum = hn::MulAdd(hn::Set(d, weights[2]), hn::LoadU(d, b), sum);
    hn::StoreU(sum, d, out);
}

void LuminanceRow(const std::array<const float*, 3>& planes, const std::array<float, 3>& weights, float* out,
                  int n) {
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

void FilteredRow(const float* in, std::span<const float> taps, float* out, int n) {
    const D d;
    const int lanes = static_cast<int>(hn::Lanes(d));
    const int radius = static_cast<int>(taps.size()) - 1;
    const V centre = hn::Set(d, taps[0]);
    for (int x = 0; x < n; x += 4 * lanes) {
        const float* at = in + x;
        V sum0 = hn::Mul(centre, hn::LoadU(d, at));
        V sum1 = hn::Mul(centre, hn::LoadU(d, at + lanes));
        V sum2 = hn::Mul(centre, hn::LoadU(d, at + 2 * lanes));
        V sum3 = hn::Mul(centre, hn::LoadU(d, at + 3 * lanes));
        for (int r = 1; r <= radius; ++r) {
            const V tap = hn::Set(d, taps[static_cast<std::size_t>(r)]);
            const float* left = at - r;
            const float* right = at + r;
            sum0 = hn::MulAdd(tap, hn::Add(hn::LoadU(d, left), hn::LoadU(d, right)), sum0);
            sum1 = hn::MulAdd(tap, hn::Add(hn::LoadU(d, left + lanes), hn::LoadU(d, right + lanes)), sum1);
            sum2 = hn::MulAdd(tap, hn::Add(hn::LoadU(d, left + 2 * lanes), hn::LoadU(d, right + 2 * lanes)), sum2);
            sum3 = hn::MulAdd(tap, hn::Add(hn::LoadU(d, left + 3 * lanes), hn::LoadU(d, right + 3 * lanes)), sum3);
        }
        hn::StoreU(sum0, d, out + x);
        hn::StoreU(sum1, d, out + x + lanes);
        hn::StoreU(sum2, d, out + x + 2 * lanes);
        hn::StoreU(sum3, d, out + x + 3 * lanes);
    }
}

void ExtremesRow(const float* in, int radius, float* least, float* greatest, int n) {
    const D d;
    const int lanes = static_cast<int>(hn::Lanes(d));
    for (int x = 0; x < n; x += lanes) {
        V low = hn::LoadU(d, in + x);
        V high = low;
        for (int r = 1; r <= radius; ++r) {
            const V left = hn::LoadU(d, in + x - r);
            const V right = hn::LoadU(d, in + x + r);
            low = hn::Min(low, hn::Min(left, right));
            high = hn::Max(high, hn::Max(left, right));
        }
        hn::StoreU(low, d, least + x);
        hn::StoreU(high, d, greatest + x);
    }
}

// 0 up to t = 0, 1 from t = 1, smooth between.
HWY_INLINE V SmoothStep(V t) {
    const D d;
    const V clamped = hn::Min(hn::Max(t, hn::Zero(d)), hn::Set(d, 1.0f));
    return hn::Mul(hn::Mul(clamped, clamped), hn::NegMulAdd(hn::Set(d, 2.0f), clamped, hn::Set(d, 3.0f)));
}

// `excess` up to half of `allowance` as it is, from there bent so that it never passes `allowance`.
HWY_INLINE V Bent(V excess, V allowance) {
    const D d;
    const V half = hn::Mul(hn::Set(d, 0.5f), allowance);
    const V above = hn::Min(hn::Max(hn::Sub(excess, half), hn::Zero(d)), allowance);
    // + tiny: an allowance of 0 leaves 0 / tiny, not 0 / 0.
    const V bend = hn::Div(hn::Mul(hn::Mul(above, above), hn::Set(d, 0.5f)), hn::Add(allowance, hn::Set(d, 1e-9f)));
    return hn::Add(hn::Min(excess, half), hn::Sub(above, bend));
}

HWY_INLINE V Detail(const Neighbourhood& from, V luminance, int x) {
    const D d;
    V detail = hn::Zero(d);
    for (const TermRows& term : from.terms) {
        const int radius = static_cast<int>(term.taps.size()) - 1;
        const float* const* centre = term.rows + radius;
        V sum = hn::Mul(hn::Set(d, term.taps[0]), hn::LoadU(d, centre[0] + x));
        for (int r = 1; r <= radius; ++r) {
            const V pair = hn::Add(hn::LoadU(d, centre[-r] + x), hn::LoadU(d, centre[r] + x));
            sum = hn::MulAdd(hn::Set(d, term.taps[static_cast<std::size_t>(r)]), pair, sum);
        }
        detail = hn::MulAdd(hn::Set(d, term.gain), hn::Sub(luminance, sum), detail);
    }
    return detail;
}

HWY_INLINE V Change(const Neighbourhood& from, const Limits& limits, int x) {
    const D d;
    const V one = hn::Set(d, 1.0f);
    const V luminance = hn::LoadU(d, from.luminance + x);
    V detail = Detail(from, luminance, x);

    // Detail of the noise's size fades out: d^5 / (d^4 + threshold^4). The tiny numbers keep a flat field's
    // rounding errors, and denormal arithmetic, away.
    const V square = hn::MulAdd(detail, detail, hn::Set(d, 1e-18f));
    const V fourth = hn::Mul(square, square);
    const float threshold_square = limits.threshold * limits.threshold;
    const V floor = hn::Set(d, threshold_square * threshold_square + 1e-30f);
    detail = hn::Mul(detail, hn::Div(fourth, hn::Add(fourth, floor)));

    const V per_highlight = hn::Set(d, limits.per_highlight_fade);
    const V per_shadow = hn::Set(d, limits.per_shadow_fade);
    detail = hn::Mul(detail, SmoothStep(hn::Mul(hn::Sub(one, luminance), per_highlight)));
    detail = hn::Mul(detail, SmoothStep(hn::Mul(luminance, per_shadow)));

    V least = hn::LoadU(d, from.least[0] + x);
    V greatest = hn::LoadU(d, from.greatest[0] + x);
    for (std::size_t row = 1; row < from.least.size(); ++row) {
        least = hn::Min(least, hn::LoadU(d, from.least[row] + x));
        greatest = hn::Max(greatest, hn::LoadU(d, from.greatest[row] + x));
    }
    // The room to pass a neighbour shrinks near the ends too, so that no halo burns out beside a white.
    const V overshoot = hn::Set(d, limits.overshoot);
    const V room_above = hn::Mul(overshoot, SmoothStep(hn::Mul(hn::Sub(one, greatest), per_highlight)));
    const V room_below = hn::Mul(overshoot, SmoothStep(hn::Mul(least, per_shadow)));
    const V wanted = hn::Add(luminance, detail);
    const V below_top = hn::Add(greatest, Bent(hn::Sub(wanted, greatest), room_above));
    const V limited = hn::Sub(least, Bent(hn::Sub(least, below_top), room_below));
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
HWY_EXPORT(FilteredRow);
HWY_EXPORT(ExtremesRow);
HWY_EXPORT(SharpenedRow);

void luminance_row(const std::array<const float*, 3>& planes, const std::array<float, 3>& weights, float* out,
                   int n) {
    HWY_DYNAMIC_DISPATCH(LuminanceRow)(planes, weights, out, n);
}

void filtered_row(const float* in, std::span<const float> taps, float* out, int n) {
    HWY_DYNAMIC_DISPATCH(FilteredRow)(in, taps, out, n);
}

void extremes_row(const float* in, int radius, float* least, float* greatest, int n) {
    HWY_DYNAMIC_DISPATCH(ExtremesRow)(in, radius, least, greatest, n);
}

void sharpened_row(const Neighbourhood& from, const Limits& limits, const std::array<float*, 3>& planes, int n) {
    HWY_DYNAMIC_DISPATCH(SharpenedRow)(from, limits, planes, n);
}

}  // namespace hangtrue::sharpen::kernel
#endif  // HWY_ONCE
