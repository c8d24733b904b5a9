// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/part.h"

#include <Eigen/Core>
#include <Eigen/LU>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <span>
#include <vector>

#include "engine/colour/correction.h"
#include "engine/trial/perceived.h"
#include "engine/trial/prior.h"

namespace hangtrue::trial {

namespace {

using colour::Lab;
using colour::Shift;

/// Steps that a shop's error typically has, so that the four can be compared.
constexpr Shift steps[4] = {
    {shops_err.lightness, 0, 0, 0}, {0, shops_err.a, 0, 0}, {0, 0, shops_err.b, 0}, {0, 0, 0, shops_err.contrast}};

/// Skin, sky and foliage as they are remembered, roughly: hue in degrees, chroma and lightness (common practice).
bool is_remembered(const Lab& lab) {
    const double chroma = std::hypot(lab.a, lab.b);
    const double hue = std::atan2(lab.b, lab.a) * 180 / std::numbers::pi;
    const bool is_skin = hue > 30 && hue < 75 && chroma > 12 && chroma < 35 && lab.lightness > 40;
    const bool is_sky = (hue < -75 && hue > -135) && chroma > 10 && chroma < 40 && lab.lightness > 45;
    const bool is_foliage = hue > 100 && hue < 145 && chroma > 15 && chroma < 45;
    return is_skin || is_sky || is_foliage;
}

double weight_of(const Lab& lab) {
    const double chroma = std::hypot(lab.a, lab.b);
    return (is_remembered(lab) ? 2 : 1) / (1 + chroma * chroma / (40 * 40));
}

/// How a colour looks different when each of the four changes: their scalar products, 4 x 4.
using Telling = Eigen::Matrix4d;
Telling telling_of(const Lab& lab, const colour::Corrector& unchanged, std::span<const colour::Corrector> changed) {
    const Perceived perceived({&lab, 1});
    const Looks now = perceived.looks(unchanged);
    Eigen::Matrix<double, 3, 4> changes;
    for (int i = 0; i < 4; ++i) {
        const Looks then = perceived.looks(changed[static_cast<std::size_t>(i)]);
        for (std::size_t k = 0; k < 3; ++k) changes(static_cast<int>(k), i) = then[k] - now[k];
    }
    return weight_of(lab) * changes.transpose() * changes;
}

struct Range {
    int first;
    int last;
};
Range blocks_in(double start, double length, int count) {
    const int first = std::clamp(static_cast<int>(std::floor(start * count)), 0, count - 1);
    const int last = std::clamp(static_cast<int>(std::ceil((start + length) * count)), first + 1, count);
    return {first, last};
}

/// Places of a window along a side: a third of it apart, both ends reached.
std::vector<double> places(double length) {
    const double room = std::max(0.0, 1 - length);
    const int count = std::clamp(static_cast<int>(std::ceil(room / (length / 3))), 0, 80);
    std::vector<double> result;
    for (int i = 0; i <= count; ++i) result.push_back(count == 0 ? room / 2 : room * i / count);
    return result;
}

}  // namespace

base::RealRect telling_part(const BlockColours& blocks, double width, double height) {
    assert(static_cast<std::size_t>(blocks.columns) * static_cast<std::size_t>(blocks.rows) == blocks.colours.size());
    const colour::Corrector unchanged(colour::no_correction());
    std::vector<colour::Corrector> changed;
    for (const Shift& step : steps) changed.emplace_back(colour::correction_of(step));
    std::vector<Telling> tellings;
    for (const Lab& lab : blocks.colours) tellings.push_back(telling_of(lab, unchanged, changed));
    width = std::min(width, 1.0);
    height = std::min(height, 1.0);
    base::RealRect best{0, 0, width, height};
    double most = -1e300;
    for (const double y : places(height)) {
        for (const double x : places(width)) {
            const Range across = blocks_in(x, width, blocks.columns);
            const Range down = blocks_in(y, height, blocks.rows);
            Telling sum = Telling::Zero();
            for (int row = down.first; row < down.last; ++row) {
                for (int column = across.first; column < across.last; ++column) {
                    sum += tellings[static_cast<std::size_t>(row * blocks.columns + column)];
                }
            }
            sum /= (down.last - down.first) * (across.last - across.first);
            // The volume that answers can shrink to: large only where no direction is left untold.
            const double told = std::log((sum + 0.01 * Telling::Identity()).determinant());
            if (told > most) {
                most = told;
                best = {x, y, width, height};
            }
        }
    }
    return best;
}

std::vector<Lab> colours_of_part(const BlockColours& blocks, base::RealRect part) {
    constexpr int fields = 6;
    const Range across = blocks_in(part.x, part.width, blocks.columns);
    const Range down = blocks_in(part.y, part.height, blocks.rows);
    const int columns = std::min(fields, across.last - across.first);
    const int rows = std::min(fields, down.last - down.first);
    std::vector<Lab> result;
    for (int field_y = 0; field_y < rows; ++field_y) {
        for (int field_x = 0; field_x < columns; ++field_x) {
            Lab mean;
            int count = 0;
            const auto along = [](Range range, int field, int of) {
                const int length = range.last - range.first;
                return Range{range.first + length * field / of, range.first + length * (field + 1) / of};
            };
            const Range field_across = along(across, field_x, columns);
            const Range field_down = along(down, field_y, rows);
            for (int row = field_down.first; row < field_down.last; ++row) {
                for (int column = field_across.first; column < field_across.last; ++column, ++count) {
                    const Lab& lab = blocks.colours[static_cast<std::size_t>(row * blocks.columns + column)];
                    mean = {mean.lightness + lab.lightness, mean.a + lab.a, mean.b + lab.b};
                }
            }
            result.push_back({mean.lightness / count, mean.a / count, mean.b / count});
        }
    }
    return result;
}

}  // namespace hangtrue::trial
