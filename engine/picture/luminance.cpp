// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/luminance.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstring>
#include <limits>

namespace hangtrue::picture {
namespace {

// Rows come as bytes; a 16-bit sample may stand at an odd address, so each is copied out.
template <typename Sample>
Sample sample_at(const std::byte* bytes, std::size_t index) {
    Sample value;
    std::memcpy(&value, bytes + index * sizeof(Sample), sizeof(Sample));
    return value;
}

// 32-bit counts vectorise; a row has fewer pixels than they hold.
template <typename Sample>
void count_grey(const std::byte* row, std::size_t width, Counts& counts) {
    constexpr Sample top = std::numeric_limits<Sample>::max();
    std::uint32_t white = 0;
    std::uint32_t black = 0;
    for (std::size_t x = 0; x < width; ++x) {
        const Sample value = sample_at<Sample>(row, x);
        white += value == top;
        black += value == 0;
    }
    counts.white += white;
    counts.black += black;
}

template <typename Sample>
void count_rgb(const std::byte* row, std::size_t width, Counts& counts) {
    constexpr Sample top = std::numeric_limits<Sample>::max();
    constexpr int one_code = sizeof(Sample) == 1 ? 1 : 257;
    std::uint32_t white = 0;
    std::uint32_t black = 0;
    std::uint32_t coloured = 0;
    for (std::size_t x = 0; x < width; ++x) {
        const Sample r = sample_at<Sample>(row, 3 * x);
        const Sample g = sample_at<Sample>(row, 3 * x + 1);
        const Sample b = sample_at<Sample>(row, 3 * x + 2);
        const Sample most = std::max(r, std::max(g, b));
        const Sample least = std::min(r, std::min(g, b));
        white += most == top;
        black += most == 0;
        coloured += most - least > one_code;
    }
    counts.white += white;
    counts.black += black;
    counts.coloured += coloured;
}

// TIFF CIELAB: L unsigned over the whole range, a and b signed (8 bit: 1 a code; 16 bit: 1/256 a code).
template <typename Sample, typename Signed>
void count_lab(const std::byte* row, std::size_t width, Counts& counts) {
    constexpr Sample top = std::numeric_limits<Sample>::max();
    constexpr int one_code = sizeof(Sample) == 1 ? 1 : 256;
    for (std::size_t x = 0; x < width; ++x) {
        const Sample lightness = sample_at<Sample>(row, 3 * x);
        const int a = sample_at<Signed>(row, 3 * x + 1);
        const int b = sample_at<Signed>(row, 3 * x + 2);
        counts.white += lightness == top;
        counts.black += lightness == 0;
        counts.coloured += std::max(a < 0 ? -a : a, b < 0 ? -b : b) > one_code;
    }
}

template <typename Sample>
void luminance(const std::byte* row, std::span<float> out, raster::SampleModel model) {
    constexpr float scale = 255.0f / static_cast<float>(std::numeric_limits<Sample>::max());
    if (model == raster::SampleModel::grey) {
        for (std::size_t x = 0; x < out.size(); ++x) out[x] = scale * static_cast<float>(sample_at<Sample>(row, x));
    } else if (model == raster::SampleModel::lab) {
        for (std::size_t x = 0; x < out.size(); ++x) out[x] = scale * static_cast<float>(sample_at<Sample>(row, 3 * x));
    } else {
        for (std::size_t x = 0; x < out.size(); ++x) {
            out[x] = 0.2126f * scale * static_cast<float>(sample_at<Sample>(row, 3 * x)) +
                     0.7152f * scale * static_cast<float>(sample_at<Sample>(row, 3 * x + 1)) +
                     0.0722f * scale * static_cast<float>(sample_at<Sample>(row, 3 * x + 2));
        }
    }
}

template <typename Sample>
void luma(const std::byte* row, std::span<float> out, int channels) {
    constexpr Sample top = std::numeric_limits<Sample>::max();
    constexpr float scale = 255.0f / static_cast<float>(top);
    constexpr std::array weights{0.299f, 0.587f, 0.114f};
    const auto step = static_cast<std::size_t>(channels);
    for (std::size_t x = 0; x < out.size(); ++x) {
        float sum = 0;
        bool clipped = false;
        for (std::size_t c = 0; c < step; ++c) {
            const Sample value = sample_at<Sample>(row, step * x + c);
            clipped |= value == 0 || value == top;
            sum += (step == 1 ? 1 : weights[c]) * scale * static_cast<float>(value);
        }
        out[x] = clipped ? std::numeric_limits<float>::quiet_NaN() : std::floor(sum + 0.5f);
    }
}

}  // namespace

void count_row(const raster::PictureInfo& info, std::span<const std::byte> row, Counts& counts) {
    const auto width = static_cast<std::size_t>(info.size.width);
    assert(row.size() >= info.bytes_per_row());
    const bool deep = info.bits == 16;
    switch (info.model) {
        case raster::SampleModel::grey:
            deep ? count_grey<std::uint16_t>(row.data(), width, counts)
                 : count_grey<std::uint8_t>(row.data(), width, counts);
            break;
        case raster::SampleModel::rgb:
            deep ? count_rgb<std::uint16_t>(row.data(), width, counts)
                 : count_rgb<std::uint8_t>(row.data(), width, counts);
            break;
        case raster::SampleModel::lab:
            deep ? count_lab<std::uint16_t, std::int16_t>(row.data(), width, counts)
                 : count_lab<std::uint8_t, std::int8_t>(row.data(), width, counts);
            break;
    }
    counts.pixels += info.size.width;
}

void luminance_row(const raster::PictureInfo& info, std::span<const std::byte> row, std::span<float> out) {
    assert(out.size() == static_cast<std::size_t>(info.size.width));
    info.bits == 16 ? luminance<std::uint16_t>(row.data(), out, info.model)
                    : luminance<std::uint8_t>(row.data(), out, info.model);
}

void luma_row(const raster::PictureInfo& info, std::span<const std::byte> row, std::span<float> out) {
    assert(out.size() == static_cast<std::size_t>(info.size.width));
    info.bits == 16 ? luma<std::uint16_t>(row.data(), out, info.channels())
                    : luma<std::uint8_t>(row.data(), out, info.channels());
}

}  // namespace hangtrue::picture
