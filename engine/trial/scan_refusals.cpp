// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/scan_refusals.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/trial/marks.h"
#include "engine/trial/median.h"

namespace hangtrue::trial {

namespace {

constexpr std::array<const char*, 4> corner_words{"upper left", "upper right", "lower right", "lower left"};

constexpr double least_module_px = 3;
constexpr double least_patch_px = 8;
// Of a module: what finding a corner in pixels of 3 to a module may err by, and no more.
constexpr double most_corner_modules = 0.35;
constexpr double most_offset_mm = 0.5;  // Half of the patches' margin of 1 mm.
// A patch's margin is a fifth of its side: three sigma of blur.
constexpr double most_sigma_share = 0.066;

constexpr double glare_share = 0.05;  // Brighter or darker than the paper about it…
constexpr double glare_sigmas = 6;    // …and than its own scatter explains.
constexpr int glare_spots = 3;        // Together: one alone is a speck.
constexpr double glare_reach_mm = 5;

constexpr double most_white = 0.01;
constexpr double most_black = 0.05;  // A noisy picture's darkest grey alone is left out.

constexpr double uneven_light = 0.015;  // Of the paper's light, between the halves of a patch…
constexpr double uneven_share = 0.08;   // …and of the patch's own.
constexpr double uneven_sigmas = 5;
constexpr double lifted_light = 0.01;  // A darker grey that gives back so much more than a lighter one.

std::string number_words(double value) { return base::number_text(value, 0); }

Point middle_of(const Sheet& sheet, base::PixelRect rect) {
    const base::RealRect mm = in_mm(sheet, rect);
    return {mm.x + mm.width / 2, mm.y + mm.height / 2};
}

// "upper left, upper right and lower left"
std::string listed(const std::vector<std::string>& words) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) text += i + 1 == words.size() ? " and " : ", ";
        text += words[i];
    }
    return text;
}

// Medians of the left and right halves, and of the upper and lower, against what rows and columns leave unexplained.
bool has_uneven_halves(std::span<const double> blocks, double middle) {
    constexpr std::size_t side = blocks_a_side;
    std::array<double, side> rows{};
    std::array<double, side> columns{};
    double all = 0;
    std::array<std::array<std::vector<double>, 2>, 2> halves;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        rows[i / side] += blocks[i] / side;
        columns[i % side] += blocks[i] / side;
        all += blocks[i] / (side * side);
        halves[0][i / side < side / 2 ? 0 : 1].push_back(blocks[i]);
        halves[1][i % side < side / 2 ? 0 : 1].push_back(blocks[i]);
    }
    double squares = 0;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        squares += std::pow(blocks[i] - rows[i / side] - columns[i % side] + all, 2);
    }
    const double scatter = std::sqrt(squares / ((side - 1) * (side - 1)));
    // Of the difference of two means of eight.
    const double chance = uneven_sigmas * scatter * std::sqrt(2.0 / (side * side / 2));
    return std::ranges::any_of(halves, [&](const auto& two) {
        return std::abs(median(two[0]) - median(two[1])) > std::max(uneven_light + uneven_share * middle, chance);
    });
}

}  // namespace

void require_colours(const raster::PictureInfo& info, const std::string& name) {
    if (info.model == raster::SampleModel::rgb) return;
    throw base::UnreadableInput(info.model == raster::SampleModel::grey
                                    ? name + " is black-and-white, so it cannot tell a tint. Scan or photograph the " +
                                          "sheet in colour."
                                    : name + " holds Lab values. Save the scan as RGB, with the scanner's profile.");
}

std::array<FoundMark, 4> marks_of(const Sheet& sheet, std::span<const FoundMark> found, const std::string& name) {
    if (found.empty()) {
        throw base::UnreadableInput("No test sheet was found in " + name +
                                    ". Take the whole sheet, flat and sharp, so that the square marks in its four "
                                    "corners can be seen.");
    }
    const std::array<int, 4> expected = codes_of(sheet.number);
    const std::int64_t expected_number = number_of(expected);
    std::array<FoundMark, 4> marks;
    std::array<int, 4> codes{};
    std::vector<std::string> missing;
    bool is_another = false;
    bool is_twice = false;
    for (std::size_t corner = 0; corner < 4; ++corner) {
        int count = 0;
        int others = 0;
        for (const FoundMark& mark : found) {
            if (corner_of(mark.code) != static_cast<int>(corner)) continue;
            codes[corner] = mark.code;
            if (mark.code == expected[corner]) {
                marks[corner] = mark;
                ++count;
            } else {
                ++others;
            }
        }
        is_twice = is_twice || count > 1 || (count > 0 && others > 0);
        is_another = is_another || (count == 0 && others > 0);
        if (count == 0 && others == 0) missing.emplace_back(corner_words[corner]);
    }
    if (is_twice && !is_another && missing.empty()) {
        throw base::UnreadableInput(name + " shows more than one test sheet. Take them one at a time.");
    }
    if (is_another) {
        const bool is_whole = missing.empty() && found.size() == 4;
        throw base::UnreadableInput(
            name + " shows " +
            (is_whole ? "test sheet " + std::to_string(number_of(codes)) : std::string("another test sheet")) +
            ", not test sheet " + std::to_string(expected_number) + ". Give the picture of that sheet.");
    }
    if (!missing.empty()) {
        const bool is_one = missing.size() == 1;
        throw base::UnreadableInput("The mark" + std::string(is_one ? "" : "s") + " at the " + listed(missing) +
                                    " of test sheet " + std::to_string(expected_number) + " cannot be seen in " + name +
                                    ". Take the whole sheet, flat and sharp, with nothing over its corners.");
    }
    return marks;
}

Homography geometry_of(const Sheet& sheet, const std::array<FoundMark, 4>& marks, const std::string& name) {
    std::vector<Point> from;
    std::vector<Point> to;
    const double module = module_mm(sheet);
    for (std::size_t corner = 0; corner < 4; ++corner) {
        const base::RealRect mm = in_mm(sheet, sheet.marks[corner].rect);
        const double left = mm.x + module;
        const double top = mm.y + module;
        const double right = mm.x + mm.width - module;
        const double bottom = mm.y + mm.height - module;
        for (const Point point : {Point{left, top}, Point{right, top}, Point{right, bottom}, Point{left, bottom}}) {
            from.push_back(point);
        }
        to.insert(to.end(), marks[corner].corners.begin(), marks[corner].corners.end());
    }
    const std::string advice = "the sheet does not lie flat in " + name +
                               ". Press it flat, on the scanner or under glass in even light, and take it again.";
    const auto to_picture = homography_between(from, to);
    if (!to_picture) throw base::UnreadableInput("By its corner marks, " + advice);
    const Homography to_sheet = to_picture->inverse();
    double worst = 0;
    bool is_turned_over = false;
    for (std::size_t i = 0; i < from.size(); ++i) {
        const Point back = to_sheet(to[i]);
        worst = std::max(worst, std::hypot(back.x - from[i].x, back.y - from[i].y));
        const auto slopes = to_picture->slopes(from[i]);
        is_turned_over = is_turned_over || slopes[0] * slopes[3] - slopes[1] * slopes[2] <= 0;
    }
    if (worst > most_corner_modules * module || is_turned_over) {
        throw base::UnreadableInput("By its corner marks, " + advice);
    }
    return *to_picture;
}

void require_pixels(const Sheet& sheet, const Homography& to_picture, const std::string& name) {
    double least_mm = mark_modules * module_mm(sheet);
    for (const Patch& patch : sheet.patches) {
        const base::RealRect mm = in_mm(sheet, patch.rect);
        least_mm = std::min({least_mm, mm.width, mm.height});
    }
    const double needed = std::max(least_module_px / module_mm(sheet), least_patch_px / (read_share * least_mm));
    double px_a_mm = 0;
    for (const Mark& mark : sheet.marks) {
        const auto slopes = to_picture.slopes(middle_of(sheet, mark.rect));
        const double here = std::min(std::hypot(slopes[0], slopes[2]), std::hypot(slopes[1], slopes[3]));
        px_a_mm = px_a_mm == 0 ? here : std::min(px_a_mm, here);
    }
    if (px_a_mm >= 0.98 * needed) return;  // A scan at just that resolution comes out a little less.
    const double mm = base::millimetres_per_inch;
    throw base::UnreadableInput(name + " shows the sheet with " + number_words(std::floor(px_a_mm * mm)) +
                                " pixels an inch; at least " + number_words(std::ceil(needed * mm)) +
                                " are needed. Scan it at 300 ppi or more, or photograph it so that it fills the "
                                "picture.");
}

void require_sharp_and_flat(const Sheet& sheet, std::span<const EdgeBlur> edges, const std::string& name) {
    double side = 0;
    for (const Patch& patch : sheet.patches) {
        const base::RealRect mm = in_mm(sheet, patch.rect);
        const double here = std::min(mm.width, mm.height);
        side = side == 0 ? here : std::min(side, here);
    }
    for (const EdgeBlur& edge : edges) {
        if (side > 0 && edge.seen_sigma_mm > most_sigma_share * side) {
            throw base::UnreadableInput(name + " is too blurred: edges on the sheet are " +
                                        base::number_text(2.56 * edge.seen_sigma_mm, 1) +
                                        " mm wide. Focus on the sheet and hold the camera still, or scan it.");
        }
        if (std::abs(edge.offset_mm) > most_offset_mm) {
            throw base::UnreadableInput("The sheet does not lie flat in " + name + ": parts of it are " +
                                        base::number_text(std::abs(edge.offset_mm), 1) +
                                        " mm off their places. Press it flat, on the scanner or under glass in even "
                                        "light, and take it again.");
        }
    }
}

PatchLight light_of(const PatchBlocks& blocks, const Rgb& paper) {
    PatchLight result;
    std::array<std::vector<double>, 3> values;
    std::array<double, 3> middles{};
    std::array<double, 3> reaches{};
    for (std::size_t channel = 0; channel < 3; ++channel) {
        std::vector<double> seen;
        for (const PixelMean& block : blocks) {
            if (block.count > 0) seen.push_back(block.mean()[channel] / paper[channel]);
        }
        middles[channel] = median(seen);
        std::vector<double> off;
        for (const double value : seen) off.push_back(std::abs(value - middles[channel]));
        reaches[channel] = std::max(4 * 1.4826 * median(std::move(off)), 0.002 + 0.02 * middles[channel]);
        for (const PixelMean& block : blocks) {
            values[channel].push_back(block.count > 0 ? block.mean()[channel] / paper[channel] : middles[channel]);
        }
        result.is_uneven = result.is_uneven || has_uneven_halves(values[channel], middles[channel]);
    }
    // Dust and hairs lie in a block or two.
    std::vector<std::size_t> kept;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        bool is_near = true;
        for (std::size_t channel = 0; channel < 3; ++channel) {
            is_near = is_near && std::abs(values[channel][i] - middles[channel]) <= reaches[channel];
        }
        if (is_near) kept.push_back(i);
    }
    if (kept.size() < blocks.size() / 2) {
        result.is_uneven = true;
        result.mean = middles;
        return result;
    }
    const auto count = static_cast<double>(kept.size());
    for (std::size_t channel = 0; channel < 3; ++channel) {
        double squares = 0;
        for (const std::size_t i : kept) result.mean[channel] += values[channel][i] / count;
        for (const std::size_t i : kept) squares += std::pow(values[channel][i] - result.mean[channel], 2);
        result.sd[channel] = std::sqrt(squares / (count - 1) / count);
    }
    return result;
}

void require_no_glare(const Sheet& sheet, std::span<const Point> spots, std::span<const PixelMean> paper,
                      const std::array<Light, 3>& light, const std::string& name) {
    struct Odd {
        Point place;
        bool is_bright = false;
    };
    std::vector<Odd> odd;
    for (std::size_t i = 0; i < spots.size(); ++i) {
        double off = 0;
        double scatter = 0;
        for (std::size_t channel = 0; channel < 3; ++channel) {
            off += std::log(std::max(paper[i].mean()[channel], 1e-6) / light[channel].at(spots[i])) / 3;
            scatter += light[channel].scatter() / 3;
        }
        if (std::abs(off) > std::max(glare_share, glare_sigmas * scatter)) odd.push_back({spots[i], off > 0});
    }
    for (const Odd& one : odd) {
        const auto near = std::ranges::count_if(odd, [&](const Odd& other) {
            return other.is_bright == one.is_bright &&
                   std::hypot(other.place.x - one.place.x, other.place.y - one.place.y) <= glare_reach_mm;
        });
        if (near < glare_spots) continue;
        throw base::UnreadableInput("The bare paper at " + place_words(sheet, one.place) + " of the sheet is " +
                                    (one.is_bright ? "brighter in " + name +
                                                         " than about it: a reflection. Turn the sheet or the light so "
                                                         "that nothing shines in it, and take it again."
                                                   : "darker in " + name +
                                                         " than about it: a shadow, dirt or a fold. Light the sheet "
                                                         "evenly and take it again."));
    }
}

void require_no_clipping(const Sheet& sheet, const ScanSamples& samples, const std::string& name) {
    EndCount all;
    EndCount greys;
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        const EndCount& one = samples.patch_ends[i];
        all.all += one.all;
        all.white += one.white;
        if (sheet.patches[i].kind == Patch::Kind::colour) continue;
        greys.all += one.all;
        greys.black += one.black;
    }
    if (samples.paper_ends.white_share() > most_white || all.white_share() > most_white) {
        throw base::UnreadableInput(
            name +
            " is overexposed: the paper's white is cut off. Lower the exposure, or turn off the "
            "scanner's automatic contrast, and take it again.");
    }
    if (greys.black_share() > most_black) {
        throw base::UnreadableInput(name +
                                    " has its shadows cut off to black. Turn off automatic contrast, or raise the "
                                    "exposure, and take it again.");
    }
}

void require_even_patches(const Sheet& sheet, std::span<const PatchLight> patches, const std::string& name) {
    const std::string advice =
        ". Turn the sheet or the light so that nothing shines in it, clean it, and take it again.";
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        if (!patches[i].is_uneven) continue;
        throw base::UnreadableInput("The patch " + sheet.patches[i].name + " at " +
                                    place_words(sheet, middle_of(sheet, sheet.patches[i].rect)) +
                                    " of the sheet is not even in " + name + ": a reflection, a shadow or dirt" +
                                    advice);
    }
    // Of the wedge, whatever the shop does to tones, a darker grey is not lighter. A reflection lifts the darkest most.
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        if (sheet.patches[i].kind != Patch::Kind::grey) continue;
        for (std::size_t j = 0; j < sheet.patches.size(); ++j) {
            if (sheet.patches[j].kind != Patch::Kind::grey) continue;
            if (sheet.patches[i].lab.lightness > sheet.patches[j].lab.lightness - 2) continue;
            const double excess = patches[i].mean[1] - 1.05 * patches[j].mean[1];
            if (excess < lifted_light + uneven_sigmas * (patches[i].sd[1] + patches[j].sd[1])) continue;
            throw base::UnreadableInput("The grey " + sheet.patches[i].name + " at " +
                                        place_words(sheet, middle_of(sheet, sheet.patches[i].rect)) +
                                        " of the sheet is lighter in " + name + " than " + sheet.patches[j].name +
                                        ", which was sent lighter: a reflection or a shadow" + advice);
        }
    }
}

}  // namespace hangtrue::trial
