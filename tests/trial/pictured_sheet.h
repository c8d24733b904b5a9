// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A test sheet, its print and a picture of that print, all made in code: every colour, edge and place is known.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <memory>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "engine/raster/row_reader.h"
#include "engine/trial/homography.h"
#include "engine/trial/marks.h"
#include "engine/trial/sheet.h"
#include "tests/support/pictures.h"

namespace hangtrue::trial {

using Light3 = std::array<double, 3>;

/// 6 x 4 in at 300 ppi: five cells and four, 21 greys, 9 near greys, 32 colours of 5 mm, four edges at two places.
inline Sheet made_sheet(std::int64_t number) {
    Sheet sheet;
    sheet.number = number;
    sheet.size = {1800, 1200};
    sheet.ppi = {300};
    const auto codes = codes_of(number);
    const std::array<std::array<int, 2>, 4> corners{{{36, 36}, {1704, 36}, {1704, 1104}, {36, 1104}}};
    for (std::size_t i = 0; i < 4; ++i) sheet.marks[i] = {codes[i], {corners[i][0], corners[i][1], 60, 60}};
    for (int i = 0; i < 9; ++i) {
        const base::PixelRect rect{120 + i % 5 * 270, i < 5 ? 120 : 760, 240, 240};
        sheet.cells.push_back({static_cast<char>('A' + i), rect, {}});
        sheet.captions.push_back({{rect.x, rect.bottom() + 4, 24, 24}, std::string(1, static_cast<char>('A' + i))});
    }
    for (int i = 0; i < 62; ++i) {
        Patch patch;
        patch.rect = {120 + i % 20 * 78, 402 + i / 20 * 78, 60, 60};
        if (i < 21) {
            patch = {"W" + std::to_string(i + 1), Patch::Kind::grey, patch.rect, {}, {100.0 - 5 * i, 0, 0}};
        } else if (i < 30) {
            const double a = 3 * ((i - 21) % 3 - 1);
            const double b = 3 * ((i - 21) / 3 - 1);
            patch = {"G" + std::to_string(i - 20), Patch::Kind::near_grey, patch.rect, {}, {50, a, b}};
        } else {
            const double hue = (i - 30) * std::numbers::pi / 16;
            const double chroma = 25;
            patch = {"P" + std::to_string(i - 29),
                     Patch::Kind::colour,
                     patch.rect,
                     {},
                     {40.0 + i % 4 * 10, chroma * std::cos(hue), chroma * std::sin(hue)}};
        }
        sheet.patches.push_back(patch);
    }
    for (const int y : {130, 800}) {
        for (int i = 0; i < 4; ++i) {
            const base::PixelRect rect{1500 + i % 2 * 100, y + i / 2 * 100, 72, 72};
            sheet.edges.push_back({rect, 5, i % 2 == 0, 0.3f, 0.8f});
        }
    }
    sheet.lines.push_back({{1220, 1050, 120, 40}, 2, true});
    return sheet;
}

/// ISO/CIE 11664-4, white D50.
inline Light3 xyz_of(const colour::Lab& lab) {
    const auto part = [](double f) { return f > 6.0 / 29 ? f * f * f : 3 * 36.0 / 841 * (f - 4.0 / 29); };
    const double y = (lab.lightness + 16) / 116;
    return {0.96422 * part(y + lab.a / 500), part(y), 0.82521 * part(y - lab.b / 200)};
}

/// Linear sRGB of XYZ D50: the matrix that Lindbloom publishes, Bradford-adapted.
inline Light3 linear_srgb(const Light3& xyz) {
    return {3.1338561 * xyz[0] - 1.6168667 * xyz[1] - 0.4906146 * xyz[2],
            -0.9787684 * xyz[0] + 1.9161415 * xyz[1] + 0.0334540 * xyz[2],
            0.0719453 * xyz[0] - 0.2289914 * xyz[1] + 1.4052427 * xyz[2]};
}

/// IEC 61966-2-1.
inline double srgb_encoded(double light) {
    return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
}

/// What a shop with a bias makes of what was sent; relative to the paper, which stays.
inline colour::Lab printed(const colour::Lab& sent) {
    const double middle = 4 * sent.lightness * (100 - sent.lightness) / 1e4;
    return {9 + 0.91 * sent.lightness - 3 * middle, sent.a + 2 * middle, sent.b - 3 * middle};
}

struct Printed {
    colour::Lab paper{94, 0.5, -2};
    double sigma_mm = 0.08;  ///< The medium's blur.
    double dark = 0.08;      ///< The edges' two sides, as shares of the paper's light.
    double light = 0.6;
    double lowest_patch = 0;  ///< Added to every patch's light: a black that is not black.
};

/// The print as a surface: what it gives back anywhere, linear sRGB, 1 = a perfect white.
class PrintedSheet {
  public:
    PrintedSheet(const Sheet& sheet, const Printed& printed_as) : m_sheet(sheet), m_printed(printed_as) {
        m_paper = linear_srgb(xyz_of(m_printed.paper));
        const double reach = 4 * m_printed.sigma_mm + 0.1;
        m_columns = static_cast<int>(sheet.size.width * mm() / cell) + 1;
        m_rows = static_cast<int>(sheet.size.height * mm() / cell) + 1;
        m_map.assign(static_cast<std::size_t>(m_columns) * static_cast<std::size_t>(m_rows), -1);
        for (const Mark& mark : sheet.marks) add(Kind::mark, mark.rect, {}, m_things.size(), reach);
        for (std::size_t i = 0; i < sheet.edges.size(); ++i) add(Kind::edge, sheet.edges[i].rect, {}, i, reach);
        for (const Patch& patch : sheet.patches) {
            Light3 light = linear_srgb(relative(xyz_of(printed(patch.lab))));
            if (patch.lab.lightness >= 100) light = m_paper;
            for (double& one : light) one += m_printed.lowest_patch;
            add(Kind::flat, patch.rect, light, 0, reach);
        }
        for (const Cell& one : sheet.cells) add(Kind::texture, one.rect, {0.3, 0.25, 0.2}, 0, reach);
        for (const Lines& one : sheet.lines) add(Kind::texture, one.rect, {0.3, 0.3, 0.3}, 0, reach);
        for (const Caption& one : sheet.captions) add(Kind::flat, one.rect, {0.1, 0.1, 0.1}, 0, reach);
    }

    double mm() const { return 25.4 / m_sheet.ppi.value; }
    const Light3& paper() const { return m_paper; }
    bool is_on_sheet(Point at) const {
        return at.x >= 0 && at.y >= 0 && at.x < m_sheet.size.width * mm() && at.y < m_sheet.size.height * mm();
    }
    bool is_near_edge(Point at) const {
        const int thing = thing_at(at);
        return thing >= 0 && m_things[static_cast<std::size_t>(thing)].kind == Kind::edge;
    }

    Light3 at(Point place) const {
        const int index = thing_at(place);
        if (index < 0) return m_paper;
        const Thing& thing = m_things[static_cast<std::size_t>(index)];
        const double x = place.x - thing.x;
        const double y = place.y - thing.y;
        Light3 inside = thing.light;
        double cover = covered(x, 0, thing.width) * covered(y, 0, thing.height);
        if (thing.kind == Kind::mark) {
            const MarkModules white = mark_modules_of(m_sheet.marks[thing.index].code);
            const double module = thing.width / mark_modules;
            cover = 0;
            for (int j = 1; j < mark_modules - 1; ++j) {
                const double across = covered(y, j * module, module);
                if (across < 1e-6) continue;
                for (int i = 1; i < mark_modules - 1; ++i) {
                    if (white[static_cast<std::size_t>(j)][static_cast<std::size_t>(i)]) continue;
                    cover += across * covered(x, i * module, module);
                }
            }
            inside = {0.02, 0.02, 0.02};
        } else if (thing.kind == Kind::edge) {
            const SlantedEdge& edge = m_sheet.edges[thing.index];
            const double angle = edge.degrees * std::numbers::pi / 180;
            const double dx = x - thing.width / 2;
            const double dy = y - thing.height / 2;
            // Clockwise from the vertical, the light side to the right; from the horizontal, the light side below.
            const double distance = edge.is_vertical ? dx * std::cos(angle) + dy * std::sin(angle)
                                                     : dy * std::cos(angle) - dx * std::sin(angle);
            // As a file holds it: each pixel as much light as the edge leaves it, a mean over its width.
            double share = 0;
            for (int i = 0; i < 8; ++i) share += normal(distance + ((i + 0.5) / 8 - 0.5) * mm()) / 8;
            const double light = m_printed.dark + (m_printed.light - m_printed.dark) * share;
            inside = {light * m_paper[0], light * m_paper[1], light * m_paper[2]};
        } else if (thing.kind == Kind::texture) {
            for (double& one : inside) one *= 1 + 0.5 * std::sin(2 * x + 3 * y);
        }
        Light3 result;
        for (std::size_t i = 0; i < 3; ++i) result[i] = m_paper[i] + (inside[i] - m_paper[i]) * cover;
        return result;
    }

  private:
    enum class Kind { flat, texture, mark, edge };
    struct Thing {
        Kind kind = Kind::flat;
        double x = 0, y = 0, width = 0, height = 0;
        Light3 light{};
        std::size_t index = 0;
    };
    static constexpr double cell = 0.25;

    Light3 relative(const Light3& xyz) const {
        const Light3 paper = xyz_of(m_printed.paper);
        return {xyz[0] * paper[0] / 0.96422, xyz[1] * paper[1], xyz[2] * paper[2] / 0.82521};
    }
    double normal(double distance) const {
        if (std::abs(distance) > 6 * m_printed.sigma_mm) return distance > 0 ? 1 : 0;
        return 0.5 * (1 + std::erf(distance / m_printed.sigma_mm / std::numbers::sqrt2));
    }
    double covered(double x, double from, double width) const { return normal(x - from) - normal(x - from - width); }
    int thing_at(Point at) const {
        const int column = static_cast<int>(at.x / cell);
        const int row = static_cast<int>(at.y / cell);
        if (at.x < 0 || at.y < 0 || column >= m_columns || row >= m_rows) return -1;
        return m_map[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_columns) +
                     static_cast<std::size_t>(column)];
    }
    void add(Kind kind, base::PixelRect rect, const Light3& light, std::size_t index, double reach) {
        const Thing thing{kind, rect.x * mm(), rect.y * mm(), rect.width * mm(), rect.height * mm(), light, index};
        for (int row = 0; row < m_rows; ++row) {
            for (int column = 0; column < m_columns; ++column) {
                const double x = (column + 0.5) * cell;
                const double y = (row + 0.5) * cell;
                if (x < thing.x - reach || y < thing.y - reach || x > thing.x + thing.width + reach ||
                    y > thing.y + thing.height + reach) {
                    continue;
                }
                int& place = m_map[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_columns) +
                                   static_cast<std::size_t>(column)];
                if (place < 0) place = static_cast<int>(m_things.size());
            }
        }
        m_things.push_back(thing);
    }

    const Sheet& m_sheet;
    Printed m_printed;
    Light3 m_paper{};
    int m_columns = 0;
    int m_rows = 0;
    std::vector<int> m_map;
    std::vector<Thing> m_things;
};

/// A scanner or camera.
struct Taking {
    base::PixelSize size;
    std::array<Point, 4> corners;  ///< Where the sheet's corners come to stand: upper left, upper right, lower right…
    double exposure = 0.85;
    Light3 tint{1, 1, 1};
    double fall_off = 0;  ///< How much darker the corners of the picture are than its middle.
    double noise = 0;     ///< Standard deviation at full light, as light; falls with the root of the light.
    Light3 backdrop{0.05, 0.05, 0.06};
    int bits = 8;
    std::uint64_t seed = 1;
    /// A reflection: light added, and to a Gaussian of this width (mm) about this place of the sheet.
    double glare = 0;
    Point glare_place;
    double glare_mm = 4;
    std::vector<base::RealRect> covers;  ///< Dark things laid over the sheet, mm.
    double bend_mm = 0;                  ///< The middle of the sheet is pulled so far to the right.
    double own_sigma_px = 0;             ///< The lens's blur, a Gaussian, beside the pixels' squares.
    double sharpened = 0;                ///< Unsharp masking, as cameras do.
    double pattern = 0;                  ///< How much a table's stripes differ from its light, as a share.
    double shadow = 0;                   ///< What the paper's thickness takes of the table's light right beside it.
    double shadow_mm = 0.3;              ///< How far from the paper that falls to a third.
};

/// Flat on the scanner at `ppi`, turned clockwise by `degrees`.
inline Taking scanned(const Sheet& sheet, double ppi, double degrees) {
    Taking taking;
    const double scale = ppi / sheet.ppi.value;
    const double width = sheet.size.width * scale;
    const double height = sheet.size.height * scale;
    const double angle = degrees * std::numbers::pi / 180;
    const double across = std::abs(width * std::cos(angle)) + std::abs(height * std::sin(angle));
    const double down = std::abs(width * std::sin(angle)) + std::abs(height * std::cos(angle));
    taking.size = {static_cast<int>(across) + 41, static_cast<int>(down) + 47};
    const std::array<Point, 4> corners{
        {{-width / 2, -height / 2}, {width / 2, -height / 2}, {width / 2, height / 2}, {-width / 2, height / 2}}};
    for (std::size_t i = 0; i < 4; ++i) {
        taking.corners[i] = {
            taking.size.width / 2.0 + 0.3 + corners[i].x * std::cos(angle) - corners[i].y * std::sin(angle),
            taking.size.height / 2.0 - 0.2 + corners[i].x * std::sin(angle) + corners[i].y * std::cos(angle)};
    }
    return taking;
}

inline Homography way_of(const Sheet& sheet, const Taking& taking) {
    const double width = sheet.size.width * 25.4 / sheet.ppi.value;
    const double height = sheet.size.height * 25.4 / sheet.ppi.value;
    const std::array<Point, 4> from{{{0, 0}, {width, 0}, {width, height}, {0, height}}};
    return *homography_between(from, taking.corners);
}

/// A table about the paper: stripes aslant, and the shadow that the paper throws.
inline Light3 backdrop_at(const Taking& taking, Point at, double sheet_width, double sheet_height) {
    Light3 light = taking.backdrop;
    if (taking.pattern == 0 && taking.shadow == 0) return light;
    const double x = std::max({-at.x, at.x - sheet_width, 0.0});
    const double y = std::max({-at.y, at.y - sheet_height, 0.0});
    const double factor = (1 + taking.pattern * std::sin(0.6 * at.x + 1.2 * at.y)) *
                          (1 - taking.shadow * std::exp(-std::hypot(x, y) / taking.shadow_mm));
    for (double& one : light) one *= factor;
    return light;
}

/// What a lens makes of the picture: along the rows, then down the columns.
inline void blur_light(std::vector<std::array<float, 3>>& light, base::PixelSize size, double sigma) {
    const int reach = static_cast<int>(std::ceil(4 * sigma));
    std::vector<float> weights;
    float sum = 0;
    for (int i = -reach; i <= reach; ++i) {
        // Its values at whole pixels: near the Gaussian from half a pixel on.
        weights.push_back(static_cast<float>(std::exp(-i * i / (2 * sigma * sigma))));
        sum += weights.back();
    }
    for (const bool is_along : {true, false}) {
        const auto from = light;
        for (int y = 0; y < size.height; ++y) {
            for (int x = 0; x < size.width; ++x) {
                std::array<float, 3> mean{};
                for (int i = -reach; i <= reach; ++i) {
                    const int column = std::clamp(is_along ? x + i : x, 0, size.width - 1);
                    const int row = std::clamp(is_along ? y : y + i, 0, size.height - 1);
                    const auto& one = from[static_cast<std::size_t>(row) * static_cast<std::size_t>(size.width) +
                                           static_cast<std::size_t>(column)];
                    const float weight = weights[static_cast<std::size_t>(i + reach)] / sum;
                    for (std::size_t c = 0; c < 3; ++c) mean[c] += weight * one[c];
                }
                light[static_cast<std::size_t>(y) * static_cast<std::size_t>(size.width) +
                      static_cast<std::size_t>(x)] = mean;
            }
        }
    }
}

/// The picture: the mean of 2 x 2 points a pixel, 6 x 6 about edges and the paper's end; a pixel's square gathers
/// evenly.
inline support::TestPicture taken(const Sheet& sheet, const PrintedSheet& print, const Taking& taking) {
    const Homography to_sheet = way_of(sheet, taking).inverse();
    const double sheet_width = sheet.size.width * print.mm();
    const double sheet_height = sheet.size.height * print.mm();
    const auto pixels = static_cast<std::size_t>(taking.size.count());
    std::vector<std::array<float, 3>> light(pixels);
    for (int y = 0; y < taking.size.height; ++y) {
        for (int x = 0; x < taking.size.width; ++x) {
            const Point middle = to_sheet({x + 0.5, y + 0.5});
            const double inside = std::min({middle.x, middle.y, sheet_width - middle.x, sheet_height - middle.y});
            const int points = std::abs(inside) < 0.3 || print.is_near_edge(middle) ? 6 : 2;
            Light3 sum{};
            for (int j = 0; j < points; ++j) {
                for (int i = 0; i < points; ++i) {
                    Point at = to_sheet({x + (i + 0.5) / points, y + (j + 0.5) / points});
                    if (!print.is_on_sheet(at)) {
                        const Light3 table = backdrop_at(taking, at, sheet_width, sheet_height);
                        for (std::size_t c = 0; c < 3; ++c) sum[c] += table[c];
                        continue;
                    }
                    if (taking.bend_mm != 0) {
                        at.x -= taking.bend_mm * std::pow(std::sin(std::numbers::pi * at.x / sheet_width) *
                                                              std::sin(std::numbers::pi * at.y / sheet_height),
                                                          0.5);
                    }
                    const bool is_covered = std::ranges::any_of(taking.covers, [&](const base::RealRect& rect) {
                        return at.x > rect.x && at.y > rect.y && at.x < rect.x + rect.width &&
                               at.y < rect.y + rect.height;
                    });
                    Light3 here = is_covered ? Light3{0.03, 0.03, 0.03} : print.at(at);
                    if (taking.glare > 0) {
                        const double distance =
                            std::hypot(at.x - taking.glare_place.x, at.y - taking.glare_place.y) / taking.glare_mm;
                        for (double& one : here) one += taking.glare * std::exp(-distance * distance / 2);
                    }
                    for (std::size_t c = 0; c < 3; ++c) sum[c] += here[c];
                }
            }
            // Lighter to the upper left, darker to all corners.
            const double across = 2.0 * x / taking.size.width - 1;
            const double down = 2.0 * y / taking.size.height - 1;
            const double fall = 1 - taking.fall_off * (0.35 * (across * across + down * down) + 0.15 * (across + down));
            for (std::size_t c = 0; c < 3; ++c) {
                light[static_cast<std::size_t>(y) * static_cast<std::size_t>(taking.size.width) +
                      static_cast<std::size_t>(x)][c] =
                    static_cast<float>(sum[c] / (points * points) * taking.exposure * taking.tint[c] * fall);
            }
        }
    }
    if (taking.own_sigma_px > 0) blur_light(light, taking.size, taking.own_sigma_px);
    if (taking.sharpened > 0) {
        const auto plain = light;
        const auto row = static_cast<std::size_t>(taking.size.width);
        for (std::size_t i = 2 * row + 2; i + 2 * row + 2 < pixels; ++i) {
            for (std::size_t c = 0; c < 3; ++c) {
                float mean = 0;
                for (int j = -2; j <= 2; ++j) {
                    for (int k = -2; k <= 2; ++k) {
                        mean += plain[static_cast<std::size_t>(static_cast<std::ptrdiff_t>(i) +
                                                               j * static_cast<std::ptrdiff_t>(row) + k)][c] /
                                25;
                    }
                }
                light[i][c] += static_cast<float>(taking.sharpened) * (plain[i][c] - mean);
            }
        }
    }
    support::TestPicture picture{taking.size, 3, taking.bits, std::vector<std::uint16_t>(3 * pixels)};
    std::mt19937_64 random(taking.seed);
    std::normal_distribution<double> spread(0, 1);
    for (std::size_t i = 0; i < pixels; ++i) {
        for (std::size_t c = 0; c < 3; ++c) {
            auto value = static_cast<double>(light[i][c]);
            if (taking.noise > 0) value += taking.noise * std::sqrt(std::max(value, 0.01)) * spread(random);
            const double code = srgb_encoded(std::clamp(value, 0.0, 1.0)) * picture.white();
            picture.samples[3 * i + c] = static_cast<std::uint16_t>(std::lround(code));
        }
    }
    return picture;
}

/// A picture in memory as a file's rows.
class MemoryRows : public raster::RowReader {
  public:
    explicit MemoryRows(const support::TestPicture& picture) : m_bytes(support::as_bytes(picture)) {
        m_info.size = picture.size;
        m_info.bits = picture.bits;
        m_info.model = picture.channels == 1 ? raster::SampleModel::grey : raster::SampleModel::rgb;
    }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        progress.check();
        ASSERT_GE(first, 0);
        ASSERT_LE(first + count, m_info.size.height);
        std::memcpy(out.data(), m_bytes.data() + static_cast<std::size_t>(first) * m_info.bytes_per_row(),
                    static_cast<std::size_t>(count) * m_info.bytes_per_row());
    }

  private:
    std::vector<std::byte> m_bytes;
};

}  // namespace hangtrue::trial
