// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/kernels.h"

#include <algorithm>

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "engine/colour/kernels.cpp"
#include "hwy/foreach_target.h"  // IWYU pragma: keep
#include "hwy/highway.h"

HWY_BEFORE_NAMESPACE();
namespace hangtrue::colour::HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;

using Floats = hn::ScalableTag<float>;
using Ints = hn::RebindToSigned<Floats>;
using V = hn::Vec<Floats>;

// Runs `body` over whole vectors in place; the rest goes through a padded copy, so that every pixel is
// computed by the same instructions wherever it stands.
template <std::size_t planes, typename Body>
HWY_INLINE void for_vectors(const std::array<float*, planes>& data, std::size_t count, const Body& body) {
    const Floats d;
    const std::size_t lanes = hn::Lanes(d);
    std::size_t i = 0;
    for (; i + lanes <= count; i += lanes) {
        std::array<float*, planes> here;
        for (std::size_t p = 0; p < planes; ++p) {
            here[p] = data[p] + i;
        }
        body(here);
    }
    if (i < count) {
        HWY_ALIGN float rest[planes][HWY_MAX_BYTES / sizeof(float)] = {};
        std::array<float*, planes> here;
        for (std::size_t p = 0; p < planes; ++p) {
            std::copy(data[p] + i, data[p] + count, rest[p]);
            here[p] = rest[p];
        }
        body(here);
        for (std::size_t p = 0; p < planes; ++p) {
            std::copy(rest[p], rest[p] + (count - i), data[p] + i);
        }
    }
}

HWY_INLINE V clipped(V v) {
    const Floats d;
    return hn::Min(hn::Max(v, hn::Zero(d)), hn::Set(d, 1.0F));
}

// Three vectors that go through the same steps. Each step of a power waits for the one before; three at a
// time keep the processor busy meanwhile.
struct Three {
    V a;
    V b;
    V c;
};

HWY_INLINE Three each(V v) { return {v, v, v}; }
HWY_INLINE Three operator+(Three x, Three y) { return {hn::Add(x.a, y.a), hn::Add(x.b, y.b), hn::Add(x.c, y.c)}; }
HWY_INLINE Three operator-(Three x, Three y) { return {hn::Sub(x.a, y.a), hn::Sub(x.b, y.b), hn::Sub(x.c, y.c)}; }
HWY_INLINE Three operator*(Three x, Three y) { return {hn::Mul(x.a, y.a), hn::Mul(x.b, y.b), hn::Mul(x.c, y.c)}; }
HWY_INLINE Three operator/(Three x, Three y) { return {hn::Div(x.a, y.a), hn::Div(x.b, y.b), hn::Div(x.c, y.c)}; }
// x * y + z, rounded once where the processor can.
HWY_INLINE Three fused(Three x, Three y, Three z) {
    return {hn::MulAdd(x.a, y.a, z.a), hn::MulAdd(x.b, y.b, z.b), hn::MulAdd(x.c, y.c, z.c)};
}

HWY_INLINE Three constant(double value) { return each(hn::Set(Floats(), static_cast<float>(value))); }

// The exponent of `v` and what is left of it, which lies between 1/sqrt 2 and sqrt 2.
HWY_INLINE V split(V v, V& mantissa) {
    const Floats d;
    const Ints di;
    const auto bits = hn::BitCast(di, v);
    const auto exponent = hn::ShiftRight<23>(hn::Sub(bits, hn::Set(di, 0x3f3504f3)));
    mantissa = hn::BitCast(d, hn::Sub(bits, hn::ShiftLeft<23>(exponent)));
    return hn::ConvertTo(d, exponent);
}

// log2 of positive, normal numbers. With s = (m - 1) / (m + 1), log2 m is 2/ln 2 times the series of
// artanh s, cut after s^7 / 7: what is left out is below 5e-8.
HWY_INLINE Three log2_of(Three v) {
    Three m = v;
    const Three exponent{split(v.a, m.a), split(v.b, m.b), split(v.c, m.c)};
    const Three one = constant(1);
    const Three s = (m - one) / (m + one);
    const Three square = s * s;
    constexpr double two_log2_e = 2.8853900817779268;
    const Three low = fused(square, constant(two_log2_e / 3), constant(two_log2_e));
    const Three high = fused(square, constant(two_log2_e / 7), constant(two_log2_e / 5));
    return fused(fused(high, square * square, low), s, exponent);
}

// 2 to the power of numbers from -126 to 126 (others give nonsense, but a number of some kind). The whole
// part goes to the exponent, the rest, at most a half, through the series of exp, cut after the sixth
// power: what is left out is below 1.3e-7.
HWY_INLINE V scaled_by_exponent(V v, V shifted) {
    const Floats d;
    const Ints di;
    return hn::BitCast(d, hn::Add(hn::BitCast(di, v), hn::ShiftLeft<23>(hn::BitCast(di, shifted))));
}

HWY_INLINE Three exp2_of(Three v) {
    // Adding 1.5 x 2^23 rounds to a whole number, which then stands in the lowest bits.
    const Three rounder = constant(12582912);
    const Three shifted = v + rounder;
    const Three rest = v - (shifted - rounder);
    constexpr double ln2 = 0.69314718055994531;
    constexpr double ln2_2 = ln2 * ln2 / 2;
    constexpr double ln2_3 = ln2_2 * ln2 / 3;
    constexpr double ln2_4 = ln2_3 * ln2 / 4;
    constexpr double ln2_5 = ln2_4 * ln2 / 5;
    constexpr double ln2_6 = ln2_5 * ln2 / 6;
    const Three square = rest * rest;
    const Three first = fused(rest, constant(ln2), constant(1));
    const Three second = fused(rest, constant(ln2_3), constant(ln2_2));
    const Three third = fused(square, constant(ln2_6), fused(rest, constant(ln2_5), constant(ln2_4)));
    const Three series = fused(fused(third, square, second), square, first);
    return {scaled_by_exponent(series.a, shifted.a), scaled_by_exponent(series.b, shifted.b),
            scaled_by_exponent(series.c, shifted.c)};
}

using Powers = std::array<const PowerCurve*, 3>;

HWY_INLINE Three of_each(const Powers& powers, float PowerCurve::*field) {
    const Floats d;
    return {hn::Set(d, powers[0]->*field), hn::Set(d, powers[1]->*field), hn::Set(d, powers[2]->*field)};
}

HWY_INLINE V chosen(V v, float threshold, V straight, V curve) {
    const Floats d;
    return hn::IfThenElse(hn::Lt(v, hn::Set(d, threshold)), straight, curve);
}

HWY_INLINE Three raised(const Powers& powers, Three v) {
    const Three base = fused(v, of_each(powers, &PowerCurve::in_scale), of_each(powers, &PowerCurve::in_offset));
    const Three result = exp2_of(log2_of(base) * of_each(powers, &PowerCurve::exponent));
    const Three curve =
        fused(result, of_each(powers, &PowerCurve::out_scale), of_each(powers, &PowerCurve::out_offset));
    const Three straight = v * of_each(powers, &PowerCurve::slope);
    return {chosen(v.a, powers[0]->threshold, straight.a, curve.a),
            chosen(v.b, powers[1]->threshold, straight.b, curve.b),
            chosen(v.c, powers[2]->threshold, straight.c, curve.c)};
}

HWY_INLINE V looked_up(const CurveTable& table, V v) {
    const Floats d;
    const Ints di;
    const auto bits = hn::BitCast(di, v);
    const auto node = hn::Sub(hn::ShiftRight<CurveTable::bits_below_node>(bits), hn::Set(di, table.first));
    // The clamp also holds what is no number inside the table.
    const auto index = hn::Min(hn::Max(node, hn::Zero(di)), hn::Set(di, table.last));
    constexpr std::int32_t mask = (1 << CurveTable::bits_below_node) - 1;
    const V fraction = hn::Mul(hn::ConvertTo(d, hn::And(bits, hn::Set(di, mask))),
                               hn::Set(d, 1.0F / (1 << CurveTable::bits_below_node)));
    const V left = hn::GatherIndex(d, table.values.data(), index);
    const V right = hn::GatherIndex(d, table.values.data() + 1, index);
    const V inside = hn::MulAdd(fraction, hn::Sub(right, left), left);
    return hn::IfThenElse(hn::Lt(v, hn::Set(d, table.low)), hn::Mul(v, hn::Set(d, table.slope_below)), inside);
}

using Curves = std::array<const FastCurve*, 3>;

// Each within 0..1.
HWY_INLINE Three curved(const Curves& curves, Three v) {
    if (curves[0]->power && curves[1]->power && curves[2]->power) {
        return raised({&*curves[0]->power, &*curves[1]->power, &*curves[2]->power}, v);
    }
    if (curves[0]->power || curves[1]->power || curves[2]->power) {
        // Channels of different kinds, which no profile in use has: a channel at a time.
        const auto one = [](const FastCurve& curve, V x) HWY_ATTR {
            return curve.power ? raised({&*curve.power, &*curve.power, &*curve.power}, each(x)).a
                               : looked_up(curve.table, x);
        };
        return {one(*curves[0], v.a), one(*curves[1], v.b), one(*curves[2], v.c)};
    }
    return {looked_up(curves[0]->table, v.a), looked_up(curves[1]->table, v.b), looked_up(curves[2]->table, v.c)};
}

HWY_INLINE V extended(const FastCurve& curve, V v, V size, V inside) {
    const Floats d;
    const V above = hn::Max(hn::Sub(size, hn::Set(d, 1.0F)), hn::Zero(d));
    return hn::CopySign(hn::MulAdd(above, hn::Set(d, curve.slope_above), inside), v);
}

HWY_INLINE Three continued(const Curves& curves, Three v) {
    const Floats d;
    const V one = hn::Set(d, 1.0F);
    const Three size{hn::Abs(v.a), hn::Abs(v.b), hn::Abs(v.c)};
    const Three inside = curved(curves, {hn::Min(size.a, one), hn::Min(size.b, one), hn::Min(size.c, one)});
    return {extended(*curves[0], v.a, size.a, inside.a), extended(*curves[1], v.b, size.b, inside.b),
            extended(*curves[2], v.c, size.c, inside.c)};
}

void CurveKernel(const FastCurve& curve, std::span<float> values) {
    const Floats d;
    const Curves curves{&curve, &curve, &curve};
    const std::size_t lanes = hn::Lanes(d);
    float* data = values.data();
    std::size_t i = 0;
    for (; i + 3 * lanes <= values.size(); i += 3 * lanes) {
        const Three result = continued(
            curves, {hn::LoadU(d, data + i), hn::LoadU(d, data + i + lanes), hn::LoadU(d, data + i + 2 * lanes)});
        hn::StoreU(result.a, d, data + i);
        hn::StoreU(result.b, d, data + i + lanes);
        hn::StoreU(result.c, d, data + i + 2 * lanes);
    }
    for_vectors<1>({data + i}, values.size() - i, [&](const std::array<float*, 1>& here) HWY_ATTR {
        hn::StoreU(continued(curves, each(hn::LoadU(d, here[0]))).a, d, here[0]);
    });
}

void ClipKernel(std::span<float> values) {
    const Floats d;
    for_vectors<1>({values.data()}, values.size(), [&](const std::array<float*, 1>& here) HWY_ATTR {
        hn::StoreU(clipped(hn::LoadU(d, here[0])), d, here[0]);
    });
}

void ShaperKernel(const MatrixShaper& shaper, const Planes& planes) {
    const Floats d;
    for_vectors<3>({planes.red.data(), planes.green.data(), planes.blue.data()}, planes.red.size(),
                   [&](const std::array<float*, 3>& here) HWY_ATTR {
                       const Three linear = continued(
                           shaper.to_linear, {hn::LoadU(d, here[0]), hn::LoadU(d, here[1]), hn::LoadU(d, here[2])});
                       const V red_green = hn::Sub(linear.a, linear.b);
                       const V blue_green = hn::Sub(linear.c, linear.b);
                       const auto mixed = [&](std::size_t channel) HWY_ATTR {
                           const V coloured = hn::MulAdd(hn::Set(d, shaper.red[channel]), red_green,
                                                         hn::Mul(hn::Set(d, shaper.blue[channel]), blue_green));
                           return clipped(hn::MulAdd(hn::Set(d, shaper.white[channel]), linear.b, coloured));
                       };
                       const Three result = curved(shaper.to_encoded, {mixed(0), mixed(1), mixed(2)});
                       hn::StoreU(result.a, d, here[0]);
                       hn::StoreU(result.b, d, here[1]);
                       hn::StoreU(result.c, d, here[2]);
                   });
}

// Where a value stands in a cube: the node at or below it, and the way to the next one.
struct Place {
    hn::Vec<Ints> node;
    V fraction;
};

HWY_INLINE Place placed(V v, float cells) {
    const Floats d;
    const Ints di;
    const V place = hn::Mul(clipped(v), hn::Set(d, cells));
    const auto last = hn::Set(di, static_cast<std::int32_t>(cells) - 1);
    const auto node = hn::Min(hn::Max(hn::ConvertTo(di, place), hn::Zero(di)), last);
    return {node, hn::Sub(place, hn::ConvertTo(d, node))};
}

// A cell is cut into six tetrahedra by the order of the three fractions: from the lower corner along the
// axis of the largest, then of the middle one, then of the smallest.
void CubeKernel(const CubeTable& cube, const Planes& planes) {
    const Floats d;
    const Ints di;
    const std::size_t lanes = hn::Lanes(d);
    const float cells = static_cast<float>(cube.size - 1);
    const auto red_step = hn::Set(di, 4 * cube.size * cube.size);
    const auto green_step = hn::Set(di, 4 * cube.size);
    const auto blue_step = hn::Set(di, 4);
    constexpr std::size_t most = HWY_MAX_BYTES / sizeof(float);
    for_vectors<3>(
        {planes.red.data(), planes.green.data(), planes.blue.data()}, planes.red.size(),
        [&](const std::array<float*, 3>& here) HWY_ATTR {
            const Place red = placed(hn::LoadU(d, here[0]), cells);
            const Place green = placed(hn::LoadU(d, here[1]), cells);
            const Place blue = placed(hn::LoadU(d, here[2]), cells);
            const auto corner = hn::Add(hn::Mul(red.node, red_step),
                                        hn::Add(hn::Mul(green.node, green_step), hn::Mul(blue.node, blue_step)));
            const V largest = hn::Max(red.fraction, hn::Max(green.fraction, blue.fraction));
            const V smallest = hn::Min(red.fraction, hn::Min(green.fraction, blue.fraction));
            const V middle = hn::Max(hn::Min(red.fraction, green.fraction),
                                     hn::Min(hn::Max(red.fraction, green.fraction), blue.fraction));
            // Ties may fall either way: the step between them has no weight.
            const auto red_first =
                hn::RebindMask(di, hn::And(hn::Ge(red.fraction, green.fraction), hn::Ge(red.fraction, blue.fraction)));
            const auto green_first = hn::RebindMask(di, hn::Ge(green.fraction, blue.fraction));
            const auto first = hn::IfThenElse(red_first, red_step, hn::IfThenElse(green_first, green_step, blue_step));
            const auto red_last =
                hn::RebindMask(di, hn::And(hn::Lt(red.fraction, green.fraction), hn::Lt(red.fraction, blue.fraction)));
            const auto green_last = hn::RebindMask(di, hn::Lt(green.fraction, blue.fraction));
            const auto last = hn::IfThenElse(red_last, red_step, hn::IfThenElse(green_last, green_step, blue_step));
            const auto all = hn::Add(red_step, hn::Add(green_step, blue_step));

            HWY_ALIGN std::array<std::array<std::int32_t, most>, 4> at;
            HWY_ALIGN std::array<std::array<float, most>, 4> weight;
            hn::Store(corner, di, at[0].data());
            hn::Store(hn::Add(corner, first), di, at[1].data());
            hn::Store(hn::Add(corner, hn::Sub(all, last)), di, at[2].data());
            hn::Store(hn::Add(corner, all), di, at[3].data());
            hn::Store(hn::Sub(hn::Set(d, 1.0F), largest), d, weight[0].data());
            hn::Store(hn::Sub(largest, middle), d, weight[1].data());
            hn::Store(hn::Sub(middle, smallest), d, weight[2].data());
            hn::Store(smallest, d, weight[3].data());

            HWY_ALIGN std::array<std::array<float, 4>, most> sums;
            for (std::size_t i = 0; i < lanes; ++i) {
                std::array<float, 4> sum{};
                for (std::size_t k = 0; k < 4; ++k) {
                    const float* node = cube.nodes.data() + at[k][i];
                    for (std::size_t c = 0; c < 4; ++c) {
                        sum[c] += weight[k][i] * node[c];
                    }
                }
                sums[i] = sum;
            }
            for (std::size_t i = 0; i < lanes; ++i) {
                here[0][i] = sums[i][0];
                here[1][i] = sums[i][1];
                here[2][i] = sums[i][2];
            }
        });
}

template <typename Sample>
HWY_INLINE void deinterleave(std::span<const Sample> samples, const Planes& out) {
    const Floats d;
    const Ints di;
    const hn::Rebind<Sample, Floats> ds;
    const std::size_t lanes = hn::Lanes(d);
    const std::size_t count = out.red.size();
    const V most = hn::Set(d, static_cast<float>(static_cast<Sample>(~Sample{0})));
    // A division, not a product with the rounded reciprocal: 65535/65535 is 1.
    const auto scaled = [&](auto channel)
                            HWY_ATTR { return hn::Div(hn::ConvertTo(d, hn::PromoteTo(di, channel)), most); };
    std::size_t i = 0;
    for (; i + lanes <= count; i += lanes) {
        hn::Vec<decltype(ds)> red;
        hn::Vec<decltype(ds)> green;
        hn::Vec<decltype(ds)> blue;
        hn::LoadInterleaved3(ds, samples.data() + 3 * i, red, green, blue);
        hn::StoreU(scaled(red), d, out.red.data() + i);
        hn::StoreU(scaled(green), d, out.green.data() + i);
        hn::StoreU(scaled(blue), d, out.blue.data() + i);
    }
    constexpr float whole = static_cast<Sample>(~Sample{0});
    for (; i < count; ++i) {
        out.red[i] = static_cast<float>(samples[3 * i]) / whole;
        out.green[i] = static_cast<float>(samples[3 * i + 1]) / whole;
        out.blue[i] = static_cast<float>(samples[3 * i + 2]) / whole;
    }
}

void Samples8Kernel(std::span<const std::uint8_t> samples, const Planes& out) { deinterleave(samples, out); }

void Samples16Kernel(std::span<const std::uint16_t> samples, const Planes& out) { deinterleave(samples, out); }

}  // namespace hangtrue::colour::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE

namespace hangtrue::colour {

HWY_EXPORT(CurveKernel);
HWY_EXPORT(ClipKernel);
HWY_EXPORT(ShaperKernel);
HWY_EXPORT(CubeKernel);
HWY_EXPORT(Samples8Kernel);
HWY_EXPORT(Samples16Kernel);

void planes_from_samples(std::span<const std::uint8_t> samples, const Planes& out) {
    HWY_DYNAMIC_DISPATCH(Samples8Kernel)(samples, out);
}

void planes_from_samples(std::span<const std::uint16_t> samples, const Planes& out) {
    HWY_DYNAMIC_DISPATCH(Samples16Kernel)(samples, out);
}

void apply_curve(const FastCurve& curve, std::span<float> values) { HWY_DYNAMIC_DISPATCH(CurveKernel)(curve, values); }

void clip_to_unit(std::span<float> values) { HWY_DYNAMIC_DISPATCH(ClipKernel)(values); }

void apply_matrix_shaper(const MatrixShaper& shaper, const Planes& planes) {
    HWY_DYNAMIC_DISPATCH(ShaperKernel)(shaper, planes);
}

void apply_cube(const CubeTable& cube, const Planes& planes) { HWY_DYNAMIC_DISPATCH(CubeKernel)(cube, planes); }

}  // namespace hangtrue::colour

#endif  // HWY_ONCE
