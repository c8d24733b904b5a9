// SPDX-License-Identifier: Apache-2.0
#include "engine/render/quantise.h"

#include <cmath>

#include "engine/base/hash.h"

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "engine/render/quantise_kernel.cpp"
#include <hwy/foreach_target.h>
#include <hwy/highway.h>

HWY_BEFORE_NAMESPACE();
namespace hangtrue::render::HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;

/// base::place_hash over neighbouring x, as -1/2 … 1/2: the upper 24 bits, so that the float is exact. A little less
/// than half a code, so that code 255 keeps itself: floats there are 2^-16 apart.
template <class DU, class DF>
hn::Vec<DF> dither_at(DU du, DF df, hn::Vec<DU> x_product, std::uint32_t row_mix) {
    auto h = hn::Xor(x_product, hn::Set(du, row_mix));
    h = hn::Xor(h, hn::ShiftRight<16>(h));
    h = hn::Mul(h, hn::Set(du, 0x85ebca6bU));
    h = hn::Xor(h, hn::ShiftRight<13>(h));
    h = hn::Mul(h, hn::Set(du, 0xc2b2ae35U));
    h = hn::Xor(h, hn::ShiftRight<16>(h));
    const hn::RebindToSigned<DU> di;
    const auto upper = hn::ConvertTo(df, hn::BitCast(di, hn::ShiftRight<8>(h)));
    return hn::Sub(hn::Mul(upper, hn::Set(df, 0.9999F / 16777216.0F)), hn::Set(df, 0.49995F));
}

void quantise_8(const PlaneRow& row, int x, int y, Dither dither, std::uint8_t* out) {
    const hn::ScalableTag<float> df;
    const hn::Rebind<std::uint32_t, decltype(df)> du;
    const hn::Rebind<std::int32_t, decltype(df)> di;
    const hn::Rebind<std::uint8_t, decltype(df)> d8;
    const std::size_t lanes = hn::Lanes(df);
    const std::uint32_t y_mix = static_cast<std::uint32_t>(y) * 0x85ebca77U + 0x165667b1U;
    const float* planes[3] = {row.red, row.green, row.blue};

    const auto codes = [&](auto value, std::size_t at, std::uint32_t channel) {
        auto scaled = hn::Mul(hn::Min(hn::Max(value, hn::Zero(df)), hn::Set(df, 1.0F)), hn::Set(df, 255.0F));
        if (dither != Dither::none) {
            const std::uint32_t hashed_channel = dither == Dither::alike ? 0 : channel;
            const auto place = hn::Iota(du, static_cast<std::uint32_t>(x) + static_cast<std::uint32_t>(at));
            const auto product = hn::Mul(place, hn::Set(du, 0x9e3779b1U));
            scaled = hn::Add(scaled, dither_at(du, df, product, y_mix ^ hashed_channel * 0xc2b2ae3dU));
        }
        const auto rounded = hn::NearestInt(scaled);
        return hn::DemoteTo(d8, hn::Max(rounded, hn::Zero(di)));
    };
    std::size_t i = 0;
    for (; i + lanes <= row.count; i += lanes) {
        hn::StoreInterleaved3(codes(hn::LoadU(df, planes[0] + i), i, 0), codes(hn::LoadU(df, planes[1] + i), i, 1),
                              codes(hn::LoadU(df, planes[2] + i), i, 2), d8, out + 3 * i);
    }
    if (i < row.count) {
        const std::size_t left = row.count - i;
        float tail[3][HWY_MAX_BYTES / sizeof(float)] = {};
        for (int channel = 0; channel < 3; ++channel) {
            for (std::size_t k = 0; k < left; ++k) tail[channel][k] = planes[channel][i + k];
        }
        std::uint8_t result[3 * HWY_MAX_BYTES];
        hn::StoreInterleaved3(codes(hn::LoadU(df, tail[0]), i, 0), codes(hn::LoadU(df, tail[1]), i, 1),
                              codes(hn::LoadU(df, tail[2]), i, 2), d8, result);
        for (std::size_t k = 0; k < 3 * left; ++k) out[3 * i + k] = result[k];
    }
}

void quantise_16(const PlaneRow& row, std::uint16_t* out) {
    const hn::ScalableTag<float> df;
    const hn::Rebind<std::uint16_t, decltype(df)> d16;
    const std::size_t lanes = hn::Lanes(df);
    const auto codes = [&](auto value) {
        const auto clipped = hn::Min(hn::Max(value, hn::Zero(df)), hn::Set(df, 1.0F));
        return hn::DemoteTo(d16, hn::NearestInt(hn::Mul(clipped, hn::Set(df, 65535.0F))));
    };
    std::size_t i = 0;
    for (; i + lanes <= row.count; i += lanes) {
        hn::StoreInterleaved3(codes(hn::LoadU(df, row.red + i)), codes(hn::LoadU(df, row.green + i)),
                              codes(hn::LoadU(df, row.blue + i)), d16, out + 3 * i);
    }
    for (; i < row.count; ++i) {
        const float* planes[3] = {row.red, row.green, row.blue};
        for (std::size_t channel = 0; channel < 3; ++channel) {
            const float value = planes[channel][i];
            const float clipped = value > 0.0F ? (value < 1.0F ? value : 1.0F) : 0.0F;
            out[3 * i + channel] = static_cast<std::uint16_t>(std::lrintf(clipped * 65535.0F));
        }
    }
}

}  // namespace hangtrue::render::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace hangtrue::render {

HWY_EXPORT(quantise_8);
HWY_EXPORT(quantise_16);

void quantise_row_8(const PlaneRow& row, int x, int y, Dither dither, std::span<std::uint8_t> out) {
    HWY_DYNAMIC_DISPATCH(quantise_8)(row, x, y, dither, out.data());
}

void quantise_row_16(const PlaneRow& row, std::span<std::uint16_t> out) {
    HWY_DYNAMIC_DISPATCH(quantise_16)(row, out.data());
}

}  // namespace hangtrue::render
#endif
