// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/print_condition.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/error.h"
#include "engine/colour/cgats.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;
using colour::Xyz;

constexpr int levels = 201;  // Lightness 0 to 100 by halves.
constexpr int hues = 360;    // By degrees.
constexpr double degree = std::numbers::pi / 180;

// Where `value` lies among `steps`: the step below, and the share of the way to the next.
std::pair<std::size_t, double> place_in(const std::vector<double>& steps, double value) {
    value = std::clamp(value, steps.front(), steps.back());
    const auto above = std::upper_bound(steps.begin() + 1, steps.end() - 1, value);
    const auto index = static_cast<std::size_t>(above - steps.begin()) - 1;
    return {index, (value - steps[index]) / (steps[index + 1] - steps[index])};
}

using Patches = std::map<std::array<double, 3>, std::array<double, 3>>;  // C, M, Y -> cube roots of X, Y, Z.

// The largest set of steps, 0 and 100 among them, all of whose combinations are patches.
std::vector<double> full_grid(const Patches& patches) {
    const double candidates[] = {10, 20, 30, 40, 55, 70, 85};
    std::vector<double> best;
    for (unsigned chosen = 0; chosen < 128; ++chosen) {
        std::vector<double> steps{0};
        for (unsigned i = 0; i < 7; ++i) {
            if ((chosen & (1U << i)) != 0) steps.push_back(candidates[i]);
        }
        steps.push_back(100);
        const auto whole = [&] {
            for (const double c : steps) {
                for (const double m : steps) {
                    for (const double y : steps) {
                        if (!patches.contains({c, m, y})) return false;
                    }
                }
            }
            return true;
        };
        if (steps.size() > best.size() && whole()) best = steps;
    }
    return best;
}

Lab between(const Lab& a, const Lab& b, double share) {
    return {a.lightness + share * (b.lightness - a.lightness), a.a + share * (b.a - a.a), a.b + share * (b.b - a.b)};
}

}  // namespace

PrintCondition::PrintCondition(const std::string& name) {
    const auto table = colour::read_cgats("/usr/share/color/icc/" + name + ".ti3");
    const auto c = table.numbers("CMYK_C"), m = table.numbers("CMYK_M"), y = table.numbers("CMYK_Y"),
               k = table.numbers("CMYK_K");
    const auto labs = table.lab_values();
    for (const double level : {0.0, 20.0, 40.0, 60.0, 80.0, 100.0}) {
        Patches patches;
        for (std::size_t i = 0; i < labs.size(); ++i) {
            if (k[i] != level) continue;
            const Xyz xyz = colour::xyz_from_lab(labs[i]);
            patches[{c[i], m[i], y[i]}] = {std::cbrt(xyz.x), std::cbrt(xyz.y), std::cbrt(xyz.z)};
        }
        Level made{level, full_grid(patches), {}};
        if (made.steps.empty()) {
            throw base::UnreadableInput(table.file + " has no full grid of cyan, magenta and yellow at black " +
                                        std::to_string(static_cast<int>(level)) + " %.");
        }
        for (const double cyan : made.steps) {
            for (const double magenta : made.steps) {
                for (const double yellow : made.steps) made.values.push_back(patches.at({cyan, magenta, yellow}));
            }
        }
        m_levels.push_back(std::move(made));
    }
}

std::array<double, 3> PrintCondition::at(const Level& level, const Cmyk& inks) {
    const std::size_t n = level.steps.size();
    const auto [ci, cf] = place_in(level.steps, inks.c);
    const auto [mi, mf] = place_in(level.steps, inks.m);
    const auto [yi, yf] = place_in(level.steps, inks.y);
    std::array<double, 3> sum{};
    for (std::size_t corner = 0; corner < 8; ++corner) {
        const std::size_t dc = corner & 1, dm = (corner >> 1) & 1, dy = corner >> 2;
        const double weight = (dc ? cf : 1 - cf) * (dm ? mf : 1 - mf) * (dy ? yf : 1 - yf);
        const auto& value = level.values[((ci + dc) * n + mi + dm) * n + yi + dy];
        for (std::size_t i = 0; i < 3; ++i) sum[i] += weight * value[i];
    }
    return sum;
}

Xyz PrintCondition::printed(const Cmyk& inks) const {
    const double k = std::clamp(inks.k, 0.0, 100.0) / 20;
    const auto below = std::min(static_cast<std::size_t>(k), m_levels.size() - 2);
    const double share = k - static_cast<double>(below);
    const auto light = at(m_levels[below], inks), dark = at(m_levels[below + 1], inks);
    std::array<double, 3> cubes{};
    for (std::size_t i = 0; i < 3; ++i) cubes[i] = std::pow((1 - share) * light[i] + share * dark[i], 3);
    return {cubes[0], cubes[1], cubes[2]};
}

Lab paper_relative(Xyz absolute, Xyz paper) { return colour::lab_from_xyz(absolute, paper); }
Xyz absolute_of(Lab relative, Xyz paper) { return colour::xyz_from_lab(relative, paper); }

Cmyk limited(Cmyk inks, double ink_limit) {
    const double colours = inks.c + inks.m + inks.y;
    if (colours + inks.k <= ink_limit || colours == 0) return inks;
    const double share = std::max(0.0, ink_limit - inks.k) / colours;
    return {inks.c * share, inks.m * share, inks.y * share, inks.k};
}

Gamut::Gamut(const PrintCondition& condition, double ink_limit)
    : m_chroma(static_cast<std::size_t>(levels * hues), -1) {
    constexpr int steps = 40;
    const Xyz paper = condition.paper();
    // A face: two inks run, the other two are none or full.
    struct Face {
        std::size_t first, second;
        std::array<double, 4> fixed;
    };
    std::vector<Face> faces;
    for (std::size_t first = 0; first < 4; ++first) {
        for (std::size_t second = first + 1; second < 4; ++second) {
            for (unsigned ends = 0; ends < 4; ++ends) {
                Face face{first, second, {}};
                unsigned bit = 0;
                for (std::size_t ink = 0; ink < 4; ++ink) {
                    if (ink != first && ink != second) face.fixed[ink] = (ends >> bit++ & 1U) != 0 ? 100 : 0;
                }
                faces.push_back(face);
            }
        }
    }
    std::vector<std::vector<Lab>> images;
    for (const Face& face : faces) {
        std::vector<Lab> image;
        for (int i = 0; i <= steps; ++i) {
            for (int j = 0; j <= steps; ++j) {
                auto inks = face.fixed;
                inks[face.first] = 100.0 * i / steps;
                inks[face.second] = 100.0 * j / steps;
                const Cmyk allowed = limited({inks[0], inks[1], inks[2], inks[3]}, ink_limit);
                image.push_back(paper_relative(condition.printed(allowed), paper));
                if (image.back().lightness < m_black.lightness) m_black = image.back();
            }
        }
        images.push_back(std::move(image));
    }
    constexpr std::size_t side = steps + 1;
    for (const auto& image : images) {
        for (std::size_t i = 0; i < steps; ++i) {
            for (std::size_t j = 0; j < steps; ++j) {
                const std::size_t at = i * side + j;
                add_triangle({image[at], image[at + 1], image[at + side]});
                add_triangle({image[at + side + 1], image[at + 1], image[at + side]});
            }
        }
    }
    // What no ray met between the black and the paper lies on the axis.
    for (double& chroma : m_chroma) chroma = std::max(chroma, 0.0);
}

// Cuts the triangle at each level of lightness, and the cut at each hue.
void Gamut::add_triangle(const std::array<Lab, 3>& corners) {
    auto [lowest, highest] = std::minmax({corners[0].lightness, corners[1].lightness, corners[2].lightness});
    const int first = std::max(0, static_cast<int>(std::ceil(lowest * 2)));
    const int last = std::min(levels - 1, static_cast<int>(std::floor(highest * 2)));
    for (int level = first; level <= last; ++level) {
        std::vector<Lab> cut;
        for (std::size_t i = 0; i < 3; ++i) {
            const Lab& a = corners[i];
            const Lab& b = corners[(i + 1) % 3];
            const double height = level / 2.0;
            if ((a.lightness - height) * (b.lightness - height) > 0 || a.lightness == b.lightness) continue;
            cut.push_back(between(a, b, (height - a.lightness) / (b.lightness - a.lightness)));
        }
        for (std::size_t i = 1; i < cut.size(); ++i) {
            const Cylinder from = cylinder(cut[0]), to = cylinder(cut[i]);
            double turn = std::remainder(to.hue - from.hue, 360.0);
            const double start = turn < 0 ? from.hue + turn : from.hue;
            turn = std::abs(turn);
            const double ax = from.chroma * std::cos(from.hue * degree), ay = from.chroma * std::sin(from.hue * degree);
            const double bx = to.chroma * std::cos(to.hue * degree), by = to.chroma * std::sin(to.hue * degree);
            for (int hue = static_cast<int>(std::ceil(start)); hue <= start + turn; ++hue) {
                const double rx = std::cos(hue * degree), ry = std::sin(hue * degree);
                const double across = rx * (by - ay) - ry * (bx - ax);
                const double chroma =
                    std::abs(across) < 1e-12 ? std::max(from.chroma, to.chroma) : (ax * by - ay * bx) / across;
                const auto at = static_cast<std::size_t>(level * hues + ((hue % hues) + hues) % hues);
                m_chroma[at] = std::max(m_chroma[at], chroma);
            }
        }
    }
}

Gamut::Cylinder Gamut::cylinder(const Lab& relative) const {
    const double share = std::clamp((100 - relative.lightness) / (100 - m_black.lightness), 0.0, 1.0);
    const double a = relative.a - share * m_black.a, b = relative.b - share * m_black.b;
    const double hue = std::atan2(b, a) / degree;
    return {relative.lightness, std::hypot(a, b), hue < 0 ? hue + 360 : hue};
}

Lab Gamut::lab(const Cylinder& at) const {
    const double share = std::clamp((100 - at.lightness) / (100 - m_black.lightness), 0.0, 1.0);
    return {at.lightness, at.chroma * std::cos(at.hue * degree) + share * m_black.a,
            at.chroma * std::sin(at.hue * degree) + share * m_black.b};
}

double Gamut::largest_chroma(double lightness, double hue) const {
    const double y = std::clamp(lightness, 0.0, 100.0) * 2, x = hue;
    const int top = std::min(static_cast<int>(y), levels - 2), left = static_cast<int>(x);
    const double fy = y - top, fx = x - left;
    const auto value = [&](int level, int column) {
        return m_chroma[static_cast<std::size_t>(level * hues + column % hues)];
    };
    return (1 - fy) * ((1 - fx) * value(top, left) + fx * value(top, left + 1)) +
           fy * ((1 - fx) * value(top + 1, left) + fx * value(top + 1, left + 1));
}

bool Gamut::holds(const Lab& relative) const {
    const Cylinder at = cylinder(relative);
    return at.lightness >= m_black.lightness - 1e-9 && at.lightness <= 100 + 1e-9 &&
           at.chroma <= largest_chroma(at.lightness, at.hue) + 1e-6;
}

Lab Gamut::nearest(const Lab& relative) const {
    if (holds(relative)) return relative;
    const Cylinder wanted = cylinder(relative);
    const auto candidate = [&](double lightness) {
        return Cylinder{lightness, std::min(wanted.chroma, largest_chroma(lightness, wanted.hue)), wanted.hue};
    };
    const auto cost = [&](double lightness) {
        return std::hypot(lightness - wanted.lightness, candidate(lightness).chroma - wanted.chroma);
    };
    // By ever smaller steps: the boundary is made of straight pieces, so no slope leads down to the best place.
    double best = 100;
    double low = m_black.lightness, high = 100;
    for (const double step : {1.0, 0.1, 0.01}) {
        for (double lightness = low; lightness <= high; lightness += step) {
            if (cost(lightness) < cost(best)) best = lightness;
        }
        low = std::max(m_black.lightness, best - step);
        high = std::min(100.0, best + step);
    }
    return lab(candidate(best));
}

Lab Gamut::compressed(const Lab& relative) const {
    constexpr double kept = 0.8;
    const double share = 1 - std::clamp(relative.lightness, 0.0, 100.0) / 100;
    Cylinder at = cylinder(relative);
    at.lightness = std::clamp(at.lightness, 0.0, 100.0) + m_black.lightness * std::pow(share, 2.5);
    const double most = largest_chroma(at.lightness, at.hue);
    if (at.chroma > kept * most) {
        const double over = most > 0 ? (at.chroma / most - kept) / (1 - kept) : 0;
        at.chroma = most * (kept + (1 - kept) * (1 - std::exp(-over)));
    }
    return lab(at);
}

}  // namespace hangtrue::virtual_shop
