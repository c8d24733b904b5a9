// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

/// Within half a code of 8 bits of the file's white: no ink stands there, or as good as none.
constexpr float paper_white = 254.5F / 255;
/// L*: about what the blackest inks and papers keep apart from black. Estimate.
constexpr double hole_lightness = 1;
/// Connected samples that are an area to the eye and no glint: about 1/10,000 of the print.
constexpr double area_share = 1e-4;
constexpr double much_white = 0.01;
constexpr double much_black = 0.05;
/// L*: about one just noticeable difference between fields that touch.
constexpr double visible_step = 0.5;
constexpr double much_banded = 0.005;

std::int64_t area_samples(const Samples& samples) {
    return std::max<std::int64_t>(4, std::llround(area_share * static_cast<double>(samples.size.count())));
}

/// A share of what hangs, with its area: "2.3 % of the print (45 square cm)".
std::string share_with_area(double share, const Looked& looked) {
    const base::SizeMm& face = looked.panels.front().geometry.finished;
    const double square_mm = share * face.width.value * face.height.value * static_cast<double>(looked.panels.size());
    const bool in_inches = looked.units == base::ShownUnits::inches;
    constexpr double mm2_per_in2 = base::millimetres_per_inch * base::millimetres_per_inch;
    const double area = in_inches ? square_mm / mm2_per_in2 : square_mm / 100;
    return percent_text(share) + " of the print (" + base::number_text(area, area < 10 ? 1 : 0) +
           (in_inches ? " square in)" : " square cm)");
}

void check_white(const Looked& looked, std::vector<Finding>& findings) {
    const Samples& samples = looked.samples;
    Mask white(samples.size);
    for (std::size_t i = 0; i < samples.file.size(); ++i) {
        const auto& rgb = samples.file[i];
        white.marked[i] = std::min({rgb[0], rgb[1], rgb[2]}) >= paper_white ? 1 : 0;
    }
    white = without_specks(white, area_samples(samples));
    const double share = static_cast<double>(white.count()) / static_cast<double>(samples.size.count());
    if (share <= much_white) return;
    const Figures figures{share * 100, much_white * 100, "%"};
    if (looked.medium.base == shops::Base::bare_metal) {
        findings.push_back(
            found("metal-shows",
                  share_with_area(share, looked) +
                      " is plain white in the file, and this medium has no white: bare metal shows there.",
                  figures,
                  "If that is not meant, take the medium with a white base, or darken the highlights in your editor.",
                  {}, places_on_picture(white, samples)));
        return;
    }
    findings.push_back(found("clipped-white",
                             share_with_area(share, looked) + " is plain white, without any drawing: the bare " +
                                 (looked.medium.base == shops::Base::clear ? "material" : "white of the medium") +
                                 " shows there.",
                             figures, "If that is not meant, hold the highlights back in your editor.", {},
                             places_on_picture(white, samples)));
}

void check_black(const Looked& looked, std::vector<Finding>& findings) {
    const Samples& samples = looked.samples;
    Mask black(samples.size);
    for (std::size_t i = 0; i < samples.print.size(); ++i) {
        black.marked[i] = samples.print[i].lightness < hole_lightness ? 1 : 0;
    }
    black = without_specks(black, area_samples(samples));
    const double share = static_cast<double>(black.count()) / static_cast<double>(samples.size.count());
    if (share <= much_black) return;
    findings.push_back(
        found("clipped-black", share_with_area(share, looked) + " is plain black, without any drawing: a black hole.",
              {share * 100, much_black * 100, "%"}, "If that is not meant, open the shadows in your editor.", {},
              places_on_picture(black, samples)));
}

/// The step in the print between two plateaus of a tile, L*.
double printed_step(const picture::Plateaus::Tile& tile, const Samples& samples) {
    const auto tone = [&](double code) {
        const double at = std::clamp(code, 0.0, 255.0);
        const auto below = static_cast<std::size_t>(std::min(254.0, std::floor(at)));
        const double share = at - static_cast<double>(below);
        return samples.tone.at(below) * (1 - share) + samples.tone.at(below + 1) * share;
    };
    const double level = static_cast<double>(tile.level);
    const double step = static_cast<double>(tile.step);
    return std::abs(tone(level + step / 2) - tone(level - step / 2));
}

void check_bands(const Looked& looked, std::vector<Finding>& findings) {
    const Samples& samples = looked.samples;
    const picture::Plateaus& plateaus = samples.plateaus;
    constexpr int side = picture::Plateaus::tile_px;
    const base::PixelRect part = on_picture({0, 0, samples.size.width, samples.size.height}, samples);
    Mask banded({plateaus.columns, plateaus.rows});
    double largest = 0;
    std::int64_t looked_at = 0;
    for (int y = 0; y < plateaus.rows; ++y) {
        for (int x = 0; x < plateaus.columns; ++x) {
            if (base::intersection({x * side, y * side, side, side}, part).empty()) continue;
            ++looked_at;
            const auto& tile = plateaus.tiles[static_cast<std::size_t>(y) * static_cast<std::size_t>(plateaus.columns) +
                                              static_cast<std::size_t>(x)];
            if (tile.step <= 0) continue;
            const double step = printed_step(tile, samples);
            if (step <= visible_step) continue;
            banded.at(x, y) = 1;
            largest = std::max(largest, step);
        }
    }
    const std::int64_t count = banded.count();
    if (looked_at == 0 || static_cast<double>(count) <= much_banded * static_cast<double>(looked_at)) return;
    std::vector<base::PixelRect> where;
    for (const base::PixelRect& place : places(banded)) {
        where.push_back({place.x * side, place.y * side, place.width * side, place.height * side});
    }
    findings.push_back(
        found("banding",
              "Smooth parts of the picture are made of flat steps, and the print will show them as bands: "
              "from one to the next the lightness jumps by up to " +
                  base::number_text(largest, 1) + " of 100 (0.5 is just visible).",
              {largest, visible_step, "L*"},
              "Edit the picture again from its raw file in 16 bits and export it in 16 bits; or add a "
              "little grain to the smooth parts.",
              {}, std::move(where)));
}

}  // namespace

void check_tones(const Looked& looked, std::vector<Finding>& findings) {
    check_white(looked, findings);
    check_black(looked, findings);
    check_bands(looked, findings);
}

}  // namespace hangtrue::checks
