// SPDX-License-Identifier: Apache-2.0
#include "engine/render/shrunk_rows.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::render {
namespace {

constexpr double least_scale_at_once = 0.25;

double decoded(double value) { return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4); }

double encoded(double light) { return light <= 0.0031308 ? light * 12.92 : 1.055 * std::pow(light, 1 / 2.4) - 0.055; }

}  // namespace

int shrink_factor(double scale) {
    return scale >= least_scale_at_once ? 1 : static_cast<int>(std::floor(2 * least_scale_at_once / scale));
}

ShrunkRows::ShrunkRows(raster::RowReader& picture, int factor) : m_picture(picture), m_factor(factor) {
    m_info = picture.info();
    const auto shrunk = [&](int pixels) { return (pixels + factor - 1) / factor; };
    m_info.size = {shrunk(m_info.size.width), shrunk(m_info.size.height)};
    m_info.bits = 16;
    const int codes = 1 << picture.info().bits;
    for (int code = 0; code < codes; ++code) m_light.push_back(static_cast<float>(decoded(code / (codes - 1.0))));
    m_row.resize(picture.info().bytes_per_row());
    m_sums.resize(static_cast<std::size_t>(m_info.size.width * m_info.channels()));
}

void ShrunkRows::add_row(const std::byte* samples) {
    const auto channels = static_cast<std::size_t>(m_info.channels());
    const auto width = static_cast<std::size_t>(m_picture.info().size.width);
    const bool is_8_bit = m_picture.info().bits == 8;
    const auto* codes_8 = reinterpret_cast<const std::uint8_t*>(samples);
    const auto* codes_16 = reinterpret_cast<const std::uint16_t*>(samples);
    std::size_t at = 0;
    for (std::size_t x = 0; x < width; ++x) {
        float* sum = m_sums.data() + x / static_cast<std::size_t>(m_factor) * channels;
        for (std::size_t channel = 0; channel < channels; ++channel, ++at) {
            sum[channel] += m_light[is_8_bit ? codes_8[at] : codes_16[at]];
        }
    }
}

void ShrunkRows::read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) {
    const base::PixelSize whole = m_picture.info().size;
    const auto channels = static_cast<std::size_t>(m_info.channels());
    auto* codes = reinterpret_cast<std::uint16_t*>(out.data());
    for (int row = first; row < first + count; ++row) {
        std::fill(m_sums.begin(), m_sums.end(), 0.0F);
        const int begin = row * m_factor;
        const int end = std::min(whole.height, begin + m_factor);
        for (int y = begin; y < end; ++y) {
            m_picture.read_rows(y, 1, m_row, progress);
            add_row(m_row.data());
        }
        for (int x = 0; x < m_info.size.width; ++x) {
            const int across = std::min(m_factor, whole.width - x * m_factor);
            const double pixels = static_cast<double>(across) * (end - begin);
            for (std::size_t channel = 0; channel < channels; ++channel) {
                const double light =
                    static_cast<double>(m_sums[static_cast<std::size_t>(x) * channels + channel]) / pixels;
                *codes++ = static_cast<std::uint16_t>(std::lround(65535 * std::clamp(encoded(light), 0.0, 1.0)));
            }
        }
    }
}

}  // namespace hangtrue::render
