// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/resampling.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace hangtrue::jobs {

plan::Plan resampling_plan(const std::string& name, const raster::PictureInfo& picture, base::PixelSize size,
                           const colour::Profile& profile) {
    const base::PixelSize whole = picture.size;
    plan::Plan plan;
    plan.picture.name = name;
    plan.picture.size = whole;
    plan.geometry.file = size;
    plan.geometry.image = {0, 0, size.width, size.height};
    plan.geometry.crop = {0, 0, static_cast<double>(whole.width), static_cast<double>(whole.height)};
    plan.enlarging = static_cast<double>(size.width) / whole.width;
    plan.resampling = plan.enlarging < 1 ? plan::Resampling::reduce_linear : plan::Resampling::enlarge_encoded;
    plan.file_profile = profile.hash();
    plan.file.bits = picture.bits;
    plan.versions.dither = 0;  // rounded alone, so that figures measured on it are the resampler's own
    return plan;
}

int scaled_side(int side, double factor) { return std::max(1, static_cast<int>(std::lround(side * factor))); }

WindowCut::WindowCut(base::PixelRect window, std::size_t pixel_bytes, RowsOut out)
    : m_window(window), m_pixel_bytes(pixel_bytes), m_out(std::move(out)) {}

void WindowCut::take(render::Band& band) {
    const base::PixelRect common = base::intersection(band.rect, m_window);
    if (common == band.rect) {
        m_out(band.samples);
        return;
    }
    m_rows.clear();
    for (int y = common.y; y < common.bottom(); ++y) {
        const std::size_t at = (static_cast<std::size_t>(y - band.rect.y) * static_cast<std::size_t>(band.rect.width) +
                                static_cast<std::size_t>(common.x - band.rect.x)) *
                               m_pixel_bytes;
        const auto row = std::span(band.samples).subspan(at, static_cast<std::size_t>(common.width) * m_pixel_bytes);
        m_rows.insert(m_rows.end(), row.begin(), row.end());
    }
    m_out(m_rows);
}

}  // namespace hangtrue::jobs
