// SPDX-License-Identifier: Apache-2.0
#include "engine/render/network_trial.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "engine/base/workers.h"
#include "engine/enlarge/undone_blur.h"
#include "engine/render/borders.h"
#include "engine/render/source_rows.h"

namespace hangtrue::render {
namespace {

constexpr int part_side = 128;
constexpr int places = 5;  // Across, and as many down.
constexpr std::size_t tried = 4;

/// A part with its surroundings, beyond the picture mirrored.
struct Part {
    base::PixelSize size;  ///< Without surroundings.
    enlarge::Halo halo;
    double detail = 0;
    base::AlignedFloats planes;

    int around() const { return halo.before_px + halo.after_px; }
    std::size_t stride() const { return static_cast<std::size_t>(size.width + around()); }
    int height() const { return size.height + around(); }
    std::array<float*, 3> all() {
        const std::size_t floats = stride() * static_cast<std::size_t>(height());
        float* const first = planes.room_for(3 * floats);
        return {first, first + floats, first + 2 * floats};
    }
    /// From the first pixel of the part itself.
    enlarge::RgbPlanes<const float> inner() {
        const auto start = all();
        const std::size_t to_part = static_cast<std::size_t>(halo.before_px) * (stride() + 1);
        return {{start[0] + to_part, start[1] + to_part, start[2] + to_part}, stride()};
    }
};

/// Where `count` lengths of `length` lie evenly on a line; fewer where they would overlap.
std::vector<int> spread(int line, int length, int count) {
    count = std::clamp(line / length, 1, count);
    std::vector<int> starts;
    for (int i = 0; i < count; ++i) {
        starts.push_back(static_cast<int>(std::int64_t{line - length} * (2 * i + 1) / (2 * count)));
    }
    return starts;
}

/// Mean step of green from pixel to pixel: what tells a blur from none is strongest there.
double detail_of(Part& part) {
    const enlarge::RgbPlanes<const float> inner = part.inner();
    double sum = 0;
    for (int y = 0; y < part.size.height; ++y) {
        const float* row = inner.planes[1] + static_cast<std::size_t>(y) * inner.stride;
        for (int x = 0; x + 1 < part.size.width; ++x) sum += std::abs(row[x + 1] - row[x]);
    }
    return sum / static_cast<double>(part.size.count());
}

Part part_at(base::PixelRect rect, enlarge::Halo halo, const SourceRows& rows, const colour::WorkingForm& working,
             const raster::PictureInfo& info) {
    Part part;
    part.size = {rect.width, rect.height};
    part.halo = halo;
    const base::PixelRect with_halo{rect.x - halo.before_px, rect.y - halo.before_px, rect.width + part.around(),
                                    rect.height + part.around()};
    const base::PixelRect inside = base::intersection(with_halo, {0, 0, info.size.width, info.size.height});
    const base::PixelRect inner{inside.x - with_halo.x, inside.y - with_halo.y, inside.width, inside.height};
    const std::array<float*, 3> planes = part.all();
    const auto count = static_cast<std::size_t>(inside.width);
    for (int y = 0; y < inside.height; ++y) {
        const std::size_t at =
            static_cast<std::size_t>(inner.y + y) * part.stride() + static_cast<std::size_t>(inner.x);
        row_into_planes(rows, inside.x, inside.y + y, info, working,
                        {{planes[0] + at, count}, {planes[1] + at, count}, {planes[2] + at, count}});
    }
    extend(planes, part.stride(), {with_halo.width, with_halo.height}, inner, Beyond::mirrored);
    part.detail = detail_of(part);
    return part;
}

/// The parts with the most detail, in the order in which they lie.
std::vector<Part> parts_to_try(enlarge::Halo halo, const colour::WorkingForm& working, raster::RowReader& picture,
                               base::Progress& progress) {
    const raster::PictureInfo& info = picture.info();
    const base::PixelSize side{std::min(part_side, info.size.width), std::min(part_side, info.size.height)};
    SourceWindow window(picture);
    std::vector<Part> parts;
    for (const int y : spread(info.size.height, side.height, places)) {
        const int first = std::max(0, y - halo.before_px);
        const int last = std::min(info.size.height, y + side.height + halo.after_px);
        const SourceRows rows = window.rows(first, last, first, progress);
        for (const int x : spread(info.size.width, side.width, places)) {
            parts.push_back(part_at({x, y, side.width, side.height}, halo, rows, working, info));
            if (parts.size() > tried) parts.erase(std::ranges::min_element(parts, {}, &Part::detail));
        }
    }
    return parts;
}

}  // namespace

double undone_blur_px(const enlarge::Network& network, const enlarge::Measures& measures,
                      const colour::WorkingForm& working, raster::RowReader& picture, int threads,
                      base::Progress& progress) {
    std::vector<Part> parts = parts_to_try(network.halo(), working, picture, progress);
    std::vector<base::AlignedFloats> results(parts.size());
    const auto result = [&](std::size_t i) {
        const auto floats = 4 * static_cast<std::size_t>(parts[i].size.count());
        float* const first = results[i].room_for(3 * floats);
        return enlarge::RgbPlanes<float>{{first, first + floats, first + 2 * floats},
                                         2 * static_cast<std::size_t>(parts[i].size.width)};
    };
    {
        base::Workers workers(std::min(threads, static_cast<int>(parts.size())));
        base::Workers::Group group;
        for (std::size_t i = 0; i < parts.size(); ++i) {
            workers.submit(group, [&, i](int) {
                const std::array<float*, 3> source = parts[i].all();
                enlarge::Network::Scratch scratch;
                network.enlarge({{source[0], source[1], source[2]}, parts[i].stride()}, parts[i].size, measures,
                                result(i), scratch, progress);
            });
        }
        group.wait();
    }
    enlarge::UndoneBlur undone;
    base::AlignedFloats scratch;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const enlarge::RgbPlanes<float> enlarged = result(i);
        undone.add(parts[i].inner(), parts[i].size.width, parts[i].size.height,
                   {{enlarged.planes[0], enlarged.planes[1], enlarged.planes[2]}, enlarged.stride}, scratch);
    }
    return undone.sigma_px();
}

}  // namespace hangtrue::render
