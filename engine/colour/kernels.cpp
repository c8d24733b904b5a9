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

// `v` within 0..1.
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

HWY_INLINE V continued(const CurveTable& table, V v) {
    const Floats d;
    const V one = hn::Set(d, 1.0F);
    const V size = hn::Abs(v);
    const V inside = looked_up(table, hn::Min(size, one));
    const V above = hn::Max(hn::Sub(size, one), hn::Zero(d));
    return hn::CopySign(hn::MulAdd(above, hn::Set(d, table.slope_above), inside), v);
}

void CurveKernel(const CurveTable& table, std::span<float> values) {
    const Floats d;
    for_vectors<1>({values.data()}, values.size(), [&](const std::array<float*, 1>& here) HWY_ATTR {
        hn::StoreU(continued(table, hn::LoadU(d, here[0])), d, here[0]);
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
        const V red = continued(*shaper.to_linear[0], hn::LoadU(d, here[0]));
        const V green = continued(*shaper.to_linear[1], hn::LoadU(d, here[1]));
        const V blue = continued(*shaper.to_linear[2], hn::LoadU(d, here[2]));
        const V red_green = hn::Sub(red, green);
        const V blue_green = hn::Sub(blue, green);
        for (std::size_t c = 0; c < 3; ++c) {
            const V coloured = hn::MulAdd(hn::Set(d, shaper.red[c]), red_green,
                                          hn::Mul(hn::Set(d, shaper.blue[c]), blue_green));
            const V linear = hn::MulAdd(hn::Set(d, shaper.white[c]), green, coloured);
            hn::StoreU(looked_up(*shaper.to_encoded[c], clipped(linear)), d, here[c]);
        }
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
    for_vectors<3>({planes.red.data(), planes.green.data(), planes.blue.data()}, planes.red.size(),
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
        const auto red_first = hn::RebindMask(di, hn::And(hn::Ge(red.fraction, green.fraction),
                                                          hn::Ge(red.fraction, blue.fraction)));
        const auto green_first = hn::RebindMask(di, hn::Ge(green.fraction, blue.fraction));
        const auto first = hn::IfThenElse(red_first, red_step,
                                          hn::IfThenElse(green_first, green_step, blue_step));
        const auto red_last = hn::RebindMask(di, hn::And(hn::Lt(red.fraction, green.fraction),
                                                         hn::Lt(red.fraction, blue.fraction)));
        const auto green_last = hn::RebindMask(di, hn::Lt(green.fraction, blue.fraction));
        const auto last = hn::IfThenElse(red_last, red_step,
                                         hn::IfThenElse(green_last, green_step, blue_step));
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
    const auto scaled = [&](auto channel) HWY_ATTR {
        return hn::Div(hn::ConvertTo(d, hn::PromoteTo(di, channel)), most);
    };
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

void Samples8Kernel(std::span<const std::uint8_t> samples, const Planes& out) {
    deinterleave(samples, out);
}

void Samples16Kernel(std::span<const std::uint16_t> samples, const Planes& out) {
    deinterleave(samples, out);
}

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

void apply_curve(const CurveTable& table, std::span<float> values) {
    HWY_DYNAMIC_DISPATCH(CurveKernel)(table, values);
}

void clip_to_unit(std::span<float> values) {
    HWY_DYNAMIC_DISPATCH(ClipKernel)(values);
}

void apply_matrix_shaper(const MatrixShaper& shaper, const Planes& planes) {
    HWY_DYNAMIC_DISPATCH(ShaperKernel)(shaper, planes);
}

void apply_cube(const CubeTable& cube, const Planes& planes) {
    HWY_DYNAMIC_DISPATCH(CubeKernel)(cube, planes);
}

}  // namespace hangtrue::colour

#endif  // HWY_ONCE
