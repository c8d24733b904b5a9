// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/scan_samples.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <functional>
#include <limits>
#include <numbers>

#include "engine/trial/bare_paper.h"

namespace hangtrue::trial {

namespace {

constexpr int rows_at_once = 32;
constexpr int most_spot_px = 16;  // A side: more of the same paper tells nothing more.
// What is looked at along a side of the paper, and how far outside it.
constexpr double side_px = 600;
constexpr double least_side_mm = 12;
constexpr double most_side_mm = 40;
constexpr double cut_outside_mm = 4;
constexpr double most_inside_mm = 10;  // Of bleed and trim; deeper lies no cut, but perhaps a canvas's fold.
// Finer pixels resolve any medium without that, and are very many.
constexpr double finest_pixel_mm = 0.01;

struct Pixel {
    Rgb light{};
    bool has_white = false;
    bool has_black = false;
};

// A part of the picture whose pixels go to one taker.
struct Region {
    base::PixelRect rect;
    std::function<void(Point picture, const Pixel&)> take;
};

base::PixelRect around(const Homography& to_picture, const base::RealRect& mm, base::PixelSize picture) {
    double left = std::numeric_limits<double>::max();
    double top = left;
    double right = -left;
    double bottom = -left;
    for (const double x : {mm.x, mm.x + mm.width}) {
        for (const double y : {mm.y, mm.y + mm.height}) {
            const Point at = to_picture({x, y});
            left = std::min(left, at.x);
            right = std::max(right, at.x);
            top = std::min(top, at.y);
            bottom = std::max(bottom, at.y);
        }
    }
    const auto within = [](double place, int most) {
        return static_cast<int>(std::clamp(std::floor(place), 0.0, static_cast<double>(most)));
    };
    const int x = within(left, picture.width);
    const int y = within(top, picture.height);
    return {x, y, within(right + 1, picture.width) - x, within(bottom + 1, picture.height) - y};
}

// The largest upright square of pixels that lies within the spot however the sheet is turned.
base::PixelRect spot_rect(const Homography& to_picture, Point mm) {
    const auto slopes = to_picture.slopes(mm);
    const double scale = std::min(std::hypot(slopes[0], slopes[2]), std::hypot(slopes[1], slopes[3]));
    const int side = std::clamp(static_cast<int>(paper_spot_mm * scale / std::numbers::sqrt2), 1, most_spot_px);
    const Point middle = to_picture(mm);
    return {static_cast<int>(std::floor(middle.x - side / 2.0 + 0.5)),
            static_cast<int>(std::floor(middle.y - side / 2.0 + 0.5)), side, side};
}

void count_ends(const Pixel& pixel, EndCount& ends) {
    ++ends.all;
    ends.white += pixel.has_white ? 1 : 0;
    ends.black += pixel.has_black ? 1 : 0;
}

void add(const Pixel& pixel, PixelMean& mean) {
    for (std::size_t channel = 0; channel < 3; ++channel) mean.sum[channel] += pixel.light[channel];
    ++mean.count;
}

EdgeSample sample_at(const EdgeFrame& frame, Point at, const Pixel& pixel) {
    const double x = at.x - frame.middle.x;
    const double y = at.y - frame.middle.y;
    return {static_cast<float>(x * frame.along.x + y * frame.along.y),
            static_cast<float>(x * frame.across.x + y * frame.across.y),
            static_cast<float>((pixel.light[0] + 2 * pixel.light[1] + pixel.light[2]) / 4)};
}

// Sides run along the sheet's own axes.
base::RealRect rect_of(const PaperSide& side) {
    const EdgeFrame& frame = side.frame;
    const auto corner = [&](double along, double across) {
        return Point{frame.middle.x + along * frame.along.x + across * frame.across.x,
                     frame.middle.y + along * frame.along.y + across * frame.across.y};
    };
    const Point one = corner(-side.length, -side.outside);
    const Point other = corner(side.length, side.inside);
    return {std::min(one.x, other.x), std::min(one.y, other.y), std::abs(one.x - other.x), std::abs(one.y - other.y)};
}

// How far the sheet's own things keep from a side, mm.
double bare_strip(const Sheet& sheet, std::size_t side) {
    double bare = std::numeric_limits<double>::max();
    const auto keep = [&](const auto& things) {
        for (const auto& thing : things) {
            const base::PixelRect& rect = thing.rect;
            const std::array<int, 4> distances{rect.x, rect.y, sheet.size.width - rect.right(),
                                               sheet.size.height - rect.bottom()};
            bare = std::min(bare, distances[side] * mm_a_pixel(sheet));
        }
    };
    keep(sheet.cells);
    keep(sheet.patches);
    keep(sheet.marks);
    keep(sheet.edges);
    keep(sheet.lines);
    keep(sheet.captions);
    return bare;
}

std::vector<Region> regions_of(const Sheet& sheet, std::span<const Point> paper, const Homography& to_picture,
                               const Homography& to_sheet, base::PixelSize size, ScanSamples& samples) {
    std::vector<Region> regions;
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        const base::RealRect whole = in_mm(sheet, sheet.patches[i].rect);
        const base::RealRect read{whole.x + whole.width * (1 - read_share) / 2,
                                  whole.y + whole.height * (1 - read_share) / 2, whole.width * read_share,
                                  whole.height * read_share};
        regions.push_back(
            {around(to_picture, read, size), [&, i, read](Point picture, const Pixel& pixel) {
                 const Point at = to_sheet(picture);
                 const double x = (at.x - read.x) / read.width * blocks_a_side;
                 const double y = (at.y - read.y) / read.height * blocks_a_side;
                 if (x < 0 || y < 0 || x >= blocks_a_side || y >= blocks_a_side) return;
                 add(pixel,
                     samples.patches[i][static_cast<std::size_t>(y) * blocks_a_side + static_cast<std::size_t>(x)]);
                 count_ends(pixel, samples.patch_ends[i]);
             }});
    }
    for (std::size_t i = 0; i < paper.size(); ++i) {
        const base::PixelRect rect = spot_rect(to_picture, paper[i]);
        if (intersection(rect, {0, 0, size.width, size.height}) != rect) continue;
        regions.push_back({rect, [&, i](Point, const Pixel& pixel) {
                               add(pixel, samples.paper[i]);
                               count_ends(pixel, samples.paper_ends);
                           }});
    }
    for (std::size_t i = 0; i < sheet.edges.size(); ++i) {
        const base::RealRect mm = in_mm(sheet, sheet.edges[i].rect);
        const EdgeFrame frame = frame_of(sheet, sheet.edges[i]);
        regions.push_back({around(to_picture, mm, size), [&, i, mm, frame](Point picture, const Pixel& pixel) {
                               const Point at = to_sheet(picture);
                               if (at.x < mm.x || at.y < mm.y || at.x > mm.x + mm.width || at.y > mm.y + mm.height) {
                                   return;
                               }
                               samples.edges[i].push_back(sample_at(frame, at, pixel));
                           }});
    }
    for (std::size_t i = 0; i < samples.sides.size(); ++i) {
        const PaperSide side = side_of(sheet, to_picture, i);
        if (side.length <= 0) continue;
        regions.push_back({around(to_picture, rect_of(side), size), [&, i, side](Point picture, const Pixel& pixel) {
                               const EdgeSample sample = sample_at(side.frame, to_sheet(picture), pixel);
                               if (std::abs(static_cast<double>(sample.along)) > side.length) return;
                               if (static_cast<double>(sample.across) < -side.outside) return;
                               if (static_cast<double>(sample.across) > side.inside) return;
                               samples.sides[i].push_back(sample);
                           }});
    }
    std::erase_if(regions, [](const Region& region) { return region.rect.empty(); });
    std::ranges::stable_sort(regions, {}, [](const Region& region) { return region.rect.y; });
    return regions;
}

// `row` of three channels; `x` a pixel of it.
Pixel pixel_at(const std::byte* row, int x, int bits, const Encoding& encoding) {
    Pixel pixel;
    // Sixteen bits are seldom used to the last code.
    const std::size_t white = bits == 8 ? 255 : 65535 - 128;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const std::size_t sample = static_cast<std::size_t>(x) * 3 + channel;
        std::size_t code = 0;
        if (bits == 8) {
            code = static_cast<std::size_t>(row[sample]);
        } else {
            std::uint16_t value = 0;
            std::memcpy(&value, row + 2 * sample, 2);
            code = value;
        }
        pixel.light[channel] = static_cast<double>(encoding.light(code));
        pixel.has_white = pixel.has_white || code >= white;
        pixel.has_black = pixel.has_black || code == 0;
    }
    return pixel;
}

}  // namespace

EdgeFrame frame_of(const Sheet& sheet, const SlantedEdge& edge) {
    const base::RealRect mm = in_mm(sheet, edge.rect);
    const double angle = edge.degrees * std::numbers::pi / 180;
    const double sine = std::sin(angle);
    const double cosine = std::cos(angle);
    const Point middle{mm.x + mm.width / 2, mm.y + mm.height / 2};
    if (edge.is_vertical) return {middle, {cosine, sine}, {-sine, cosine}};
    return {middle, {-sine, cosine}, {cosine, sine}};
}

Point pixel_across(const EdgeFrame& frame, const Homography& to_picture, Point mm) {
    const auto slopes = to_picture.inverse().slopes(to_picture(mm));
    return {frame.across.x * slopes[0] + frame.across.y * slopes[2],
            frame.across.x * slopes[1] + frame.across.y * slopes[3]};
}

PaperSide side_of(const Sheet& sheet, const Homography& to_picture, std::size_t side) {
    const double width = sheet.size.width * mm_a_pixel(sheet);
    const double height = sheet.size.height * mm_a_pixel(sheet);
    const std::array<EdgeFrame, 4> frames{{{{0, height / 2}, {1, 0}, {0, 1}},
                                           {{width / 2, 0}, {0, 1}, {1, 0}},
                                           {{width, height / 2}, {-1, 0}, {0, 1}},
                                           {{width / 2, height}, {0, -1}, {1, 0}}}};
    PaperSide result;
    result.frame = frames[side];
    result.inside = std::min(bare_strip(sheet, side) - paper_margin_modules * module_mm(sheet), most_inside_mm);
    result.outside = cut_outside_mm;
    const Point pixel_steps = pixel_across(result.frame, to_picture, result.frame.middle);
    const double pixel = std::hypot(pixel_steps.x, pixel_steps.y);
    if (result.inside <= 0 || !(pixel >= finest_pixel_mm)) return result;
    // More pixels tell nothing more; along a longer piece a lens bends a line.
    const double whole = std::clamp(side_px * pixel, least_side_mm, most_side_mm);
    result.length = std::min(whole, (side % 2 == 0 ? height : width) / 2) / 2;
    return result;
}

ScanSamples samples_of(const Sheet& sheet, std::span<const Point> paper, const Homography& to_picture,
                       const Encoding& encoding, raster::RowReader& picture, base::Progress& progress) {
    ScanSamples samples;
    samples.patches.resize(sheet.patches.size());
    samples.patch_ends.resize(sheet.patches.size());
    samples.paper.resize(paper.size());
    samples.edges.resize(sheet.edges.size());
    const raster::PictureInfo& info = picture.info();
    const Homography to_sheet = to_picture.inverse();
    const auto regions = regions_of(sheet, paper, to_picture, to_sheet, info.size, samples);
    if (regions.empty()) return samples;

    const int first = regions.front().rect.y;
    int last = 0;
    for (const Region& region : regions) last = std::max(last, region.rect.bottom());
    std::vector<std::byte> rows(static_cast<std::size_t>(rows_at_once) * info.bytes_per_row());
    for (int y = first; y < last; y += rows_at_once) {
        progress.report("reading the sheet", static_cast<double>(y - first) / (last - first));
        const int count = std::min(rows_at_once, last - y);
        picture.read_rows(y, count, std::span(rows).first(static_cast<std::size_t>(count) * info.bytes_per_row()),
                          progress);
        for (const Region& region : regions) {
            if (region.rect.y >= y + count) break;
            const base::PixelRect here = intersection(region.rect, {0, y, info.size.width, count});
            for (int j = here.y; j < here.bottom(); ++j) {
                const std::byte* const row = rows.data() + static_cast<std::size_t>(j - y) * info.bytes_per_row();
                for (int i = here.x; i < here.right(); ++i) {
                    region.take({i + 0.5, j + 0.5}, pixel_at(row, i, info.bits, encoding));
                }
            }
        }
    }
    progress.report("reading the sheet", 1);
    return samples;
}

}  // namespace hangtrue::trial
