// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

// What to call a thing that matters cannot be computed. What can: something with a strong outline that lies as a whole
// near the edge, with calm around it; a signature, a lamp, a bird. What reaches far into the picture (a branch, the
// horizon), is cut by the edge already, or is one of many (leaves, grass) ends at every frame, and nobody minds. All
// limits here are estimates.

/// dE76 across two samples.
constexpr double strong_outline = 12;
/// Samples between parts that are taken as one thing: letters of a name.
constexpr int joined_over = 2;
constexpr std::int64_t least_outline = 10;
/// As many things that stand alone in the picture are a texture: what stands at the edge is then of a larger kind…
constexpr std::size_t many = 4;
/// …with an outline so many times as long as theirs.
constexpr std::int64_t larger_kind = 2;
/// Of the thing's outline, in the part where the shop may cut.
constexpr double least_in_zone = 0.3;
/// How far into the picture it may reach, in widths of that part.
constexpr double most_reach = 3;
/// Of what lies around it, strongly outlined.
constexpr double most_around = 0.1;

/// A rectangle of real-valued sides on the samples.
struct Sides {
    double left, top, right, bottom;
    bool holds(double x, double y) const { return x >= left && x < right && y >= top && y < bottom; }
};

/// A panel's edges on the samples.
struct Frame {
    Sides image;  ///< What of the picture is on it at all.
    Sides outer;  ///< The finished edge, and the bleed beyond it.
    Sides safe;
    Sides inner;  ///< As far in as a thing at the edge may reach.
};

Frame frame_of(const plan::Plan& plan, const Samples& samples) {
    const plan::Geometry& geometry = plan.geometry;
    const double across = geometry.crop.width / geometry.image.width * samples.size.width / samples.part.width;
    const double down = geometry.crop.height / geometry.image.height * samples.size.height / samples.part.height;
    const double left = (geometry.crop.x - samples.part.x) * samples.size.width / samples.part.width;
    const double top = (geometry.crop.y - samples.part.y) * samples.size.height / samples.part.height;
    const auto on_samples = [&](double l, double t, double r, double b) {
        return Sides{left + (l - geometry.image.x) * across, top + (t - geometry.image.y) * down,
                     left + (r - geometry.image.x) * across, top + (b - geometry.image.y) * down};
    };
    const auto px = [&](base::Millimetres width) { return base::pixels(width, plan.ppi); };
    const base::PixelRect& face = geometry.finished_px;
    const auto inset = [&](double by) {
        return on_samples(face.x + by, face.y + by, face.right() - by, face.bottom() - by);
    };
    const double safe = px(geometry.safe_area);
    return {on_samples(geometry.image.x, geometry.image.y, geometry.image.right(), geometry.image.bottom()),
            on_samples(face.x - px(geometry.bleed.left), face.y - px(geometry.bleed.top),
                       face.right() + px(geometry.bleed.right), face.bottom() + px(geometry.bleed.bottom)),
            inset(safe), inset(most_reach * safe)};
}

Mask outlines(const Samples& samples) {
    Mask mask(samples.size);
    const int width = samples.size.width;
    const auto lab = [&](int x, int y) {
        return samples
            .print[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)];
    };
    for (int y = 1; y + 1 < samples.size.height; ++y) {
        for (int x = 1; x + 1 < width; ++x) {
            const double across = colour::delta_e_76(lab(x - 1, y), lab(x + 1, y));
            const double down = colour::delta_e_76(lab(x, y - 1), lab(x, y + 1));
            mask.at(x, y) = std::max(across, down) > strong_outline ? 1 : 0;
        }
    }
    return mask;
}

/// Every marked place with what lies within `by` of it.
Mask widened(const Mask& mask, int by) {
    Mask across(mask.size);
    Mask wide(mask.size);
    const auto spread = [by](const Mask& from, Mask& to, bool along_x) {
        for (int y = 0; y < from.size.height; ++y) {
            for (int x = 0; x < from.size.width; ++x) {
                if (from.at(x, y) == 0) continue;
                const int at = along_x ? x : y;
                const int most = along_x ? from.size.width : from.size.height;
                for (int i = std::max(0, at - by); i <= std::min(most - 1, at + by); ++i) {
                    (along_x ? to.at(i, y) : to.at(x, i)) = 1;
                }
            }
        }
    };
    spread(mask, across, true);
    spread(across, wide, false);
    return wide;
}

base::PixelRect grown(base::PixelRect box, int by, base::PixelSize within) {
    return base::intersection({box.x - by, box.y - by, box.width + 2 * by, box.height + 2 * by},
                              {0, 0, within.width, within.height});
}

std::int64_t count_in(const Mask& mask, base::PixelRect part) {
    std::int64_t count = 0;
    for (int y = part.y; y < part.bottom(); ++y) {
        for (int x = part.x; x < part.right(); ++x) count += mask.at(x, y);
    }
    return count;
}

/// True where there is calm around what lies in `box`.
bool is_alone(const Mask& wide, base::PixelRect box) {
    const int around = std::max({4, box.width / 2, box.height / 2});
    const base::PixelRect whole = grown(box, around, wide.size);
    const auto places =
        static_cast<double>(std::int64_t{whole.width} * whole.height - std::int64_t{box.width} * box.height);
    const auto marked = static_cast<double>(count_in(wide, whole) - count_in(wide, box));
    return places > 0 && marked <= most_around * places;
}

/// True where the thing in `box` lies near this panel's edge, whole.
bool stands_at_edge(const Mask& outline, base::PixelRect box, const Frame& frame) {
    std::int64_t all = 0;
    std::int64_t in_zone = 0;
    int left = box.right();
    int top = box.bottom();
    int right = box.x;
    int bottom = box.y;
    for (int y = box.y; y < box.bottom(); ++y) {
        for (int x = box.x; x < box.right(); ++x) {
            if (outline.at(x, y) == 0) continue;
            if (frame.inner.holds(x, y)) return false;
            ++all;
            left = std::min(left, x);
            top = std::min(top, y);
            right = std::max(right, x + 1);
            bottom = std::max(bottom, y + 1);
            if (!frame.safe.holds(x, y)) ++in_zone;
        }
    }
    if (static_cast<double>(in_zone) < least_in_zone * static_cast<double>(all)) return false;
    // What touches the print's edge is cut already: the tip of a branch. An outline begins a sample from there.
    const Sides ends{std::max(frame.image.left, frame.outer.left), std::max(frame.image.top, frame.outer.top),
                     std::min(frame.image.right, frame.outer.right), std::min(frame.image.bottom, frame.outer.bottom)};
    return ends.holds(left - 2, top - 2) && ends.holds(right + 1, bottom + 1);
}

}  // namespace

void check_safe_area(const Looked& looked, std::vector<Finding>& findings) {
    const Samples& samples = looked.samples;
    const base::Millimetres safe = looked.panels.front().geometry.safe_area;
    if (safe.value <= 0) return;
    const Mask outline = outlines(samples);
    const Mask wide = widened(outline, joined_over);
    std::vector<Area> at_edge;
    std::vector<std::int64_t> others;
    for (Area thing : areas(wide)) {
        thing.count = count_in(outline, thing.box);
        if (thing.count < least_outline || !is_alone(wide, thing.box)) continue;
        const bool stands = std::any_of(looked.panels.begin(), looked.panels.end(), [&](const plan::Plan& panel) {
            return stands_at_edge(outline, thing.box, frame_of(panel, samples));
        });
        if (stands) {
            at_edge.push_back(thing);
        } else {
            others.push_back(thing.count);
        }
    }
    std::int64_t usual = 0;
    if (others.size() >= many) {
        std::nth_element(others.begin(), others.begin() + static_cast<std::ptrdiff_t>(others.size() / 2), others.end());
        usual = others[others.size() / 2];
    }
    std::vector<base::PixelRect> where;
    for (const Area& thing : at_edge) {
        if (thing.count > larger_kind * usual) where.push_back(on_picture(thing.box, samples));
    }
    const std::string width = plan::edge_in_both_units(safe, looked.units);
    if (where.empty()) {
        findings.push_back(
            found("safe-area",
                  "Keep what matters, a signature too, at least " + width +
                      " away from the edge: the shop may cut or fold there. Nothing was seen that stands "
                      "out there by itself.",
                  {0, safe.value, "mm"}, "Move the crop (--crop) if something of yours stands there."));
        return;
    }
    const std::size_t count = where.size();
    const bool one = count == 1;
    findings.push_back(found("stands-at-edge",
                             (one ? "Something stands out" : std::to_string(count) + " things stand out") + " within " +
                                 width + " of the edge, where the shop may cut or fold.",
                             {static_cast<double>(count), 0, one ? "thing" : "things"},
                             "Move the crop so that it stands further in or is cut off whole (--crop), or add a border "
                             "(--border).",
                             {}, std::move(where)));
}

}  // namespace hangtrue::checks
