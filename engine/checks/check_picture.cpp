// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/optics/vision.h"
#include "engine/plan/grid.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

using base::number_text;

constexpr double much_enlarged = 2;
constexpr double much_cropped = 0.15;
/// Half a ppi is within the rounding of a file's sides.
constexpr double ppi_tolerance = 0.5;

std::string ppi_text(double ppi) { return number_text(ppi, 0) + " ppi"; }

/// The largest size that the picture fills at `ppi`, in words.
std::string fits_until(const Subject& subject, double ppi) {
    const auto& geometry = subject.plan.geometry;
    const double share = subject.plan.picture_ppi.value / ppi;
    const base::SizeMm size{geometry.finished.width * share, geometry.finished.height * share};
    return plan::in_both_units(size, subject.units);
}

void check_pixels(const Subject& subject, std::vector<Finding>& findings) {
    const double brings = subject.plan.picture_ppi.value;
    const auto& range = subject.medium.ppi;
    const auto sharp_from = optics::sharp_from(subject.plan.picture_ppi);
    const auto distance = subject.plan.sharpening.design_distance;
    const double limit = std::min(optics::resolved_ppi(distance).value, range.least.value_or(range.wanted).value);
    if (brings < limit - ppi_tolerance) {
        findings.push_back(
            found("too-few-pixels",
                  "The picture has too few pixels for this size: it brings " + ppi_text(brings) +
                      ", and its pixels could be told apart even from " +
                      plan::distance_in_both_units(distance, subject.units) + ", where the print is to be seen.",
                  {brings, limit, "ppi"},
                  "Choose a size up to " + fits_until(subject, range.least.value_or(range.wanted).value) +
                      ", or crop less; or pass this check, for a print seen from " +
                      plan::distance_in_both_units(sharp_from, subject.units) + " or further."));
    } else if (brings < range.wanted.value - ppi_tolerance) {
        findings.push_back(
            found("fewer-pixels-than-wanted",
                  "The picture brings " + ppi_text(brings) + " where " + subject.medium.name + " wants " +
                      ppi_text(range.wanted.value) + "; its pixels cannot be told apart from " +
                      plan::distance_in_both_units(sharp_from, subject.units) + " or further.",
                  {brings, range.wanted.value, "ppi"},
                  "Choose a size up to " + fits_until(subject, range.wanted.value) + " for full sharpness close up."));
    }
    if (subject.plan.enlarging > much_enlarged) {
        findings.push_back(with_command(found("enlarged-much",
                                              "The picture is enlarged " + number_text(subject.plan.enlarging, 1) +
                                                  " times each way; fine detail will look soft close up.",
                                              {subject.plan.enlarging, much_enlarged, "times"},
                                              "Choose a smaller size, or look at the file's pixels before ordering."),
                                        "hangtrue view"));
    }
}

/// What of the picture lies on either side of the panels' crops.
std::vector<base::PixelRect> cut_away(const plan::Plan& plan) {
    const base::PixelSize size = plan.picture.size;
    const base::RealRect& crop = plan.geometry.crop;
    const auto px = [](double value) { return static_cast<int>(std::lround(value)); };
    std::vector<base::PixelRect> parts;
    const auto add = [&](base::PixelRect part) {
        if (!part.empty()) parts.push_back(part);
    };
    add({0, 0, size.width, px(crop.y)});
    add({0, px(crop.y + crop.height), size.width, size.height - px(crop.y + crop.height)});
    // Of panels only the outermost know where the print ends.
    if (plan.panels == 1) {
        add({0, 0, px(crop.x), size.height});
        add({px(crop.x + crop.width), 0, size.width - px(crop.x + crop.width), size.height});
    }
    return parts;
}

/// By its shape alone, and only where the crop was not made by hand: that one is meant.
void check_crop(const Subject& subject, std::vector<Finding>& findings) {
    const auto& plan = subject.plan;
    const auto& geometry = plan.geometry;
    const base::SizeMm group = plan::group_size(geometry.finished, plan.panels, plan.gap);
    const double others_px = base::pixels(group.width - geometry.finished.width, plan.ppi);
    const double crop_width = (geometry.image.width + others_px) / plan.enlarging;
    const bool is_largest =
        crop_width > plan.picture.size.width - 1.0 || geometry.crop.height > plan.picture.size.height - 1.0;
    const double wanted = group.width / group.height;
    const double shape = static_cast<double>(plan.picture.size.width) / plan.picture.size.height;
    const double loss = 1 - std::min(shape / wanted, wanted / shape);
    if (!is_largest || loss <= much_cropped) return;
    const std::string where = shape > wanted ? "left and right" : "top and bottom";
    findings.push_back(found(
        "shape-against-size",
        "The size has another shape than the picture: " + percent_text(loss) + " of it is cut away at " + where + ".",
        {loss * 100, much_cropped * 100, "%"},
        "Choose a size of the picture's shape, add a border, or set the crop by hand (--crop).", {}, cut_away(plan)));
}

void check_contents(const Subject& subject, std::vector<Finding>& findings) {
    if (subject.plan.picture.profile_assumed) {
        findings.push_back(found("no-profile",
                                 "The picture has no colour profile and was taken as sRGB; if it is in another space, "
                                 "its colours will be wrong.",
                                 {}, "Export the picture again with its profile embedded."));
    }
    if (subject.plan.picture.copyright.empty()) {
        findings.push_back(found("copyright-missing", "The picture names no copyright, so the print file names none.",
                                 {},
                                 "Set copyright and author in your editor and export again, if the "
                                 "file shall carry them."));
    }
}

}  // namespace

void check_picture(const Subject& subject, std::vector<Finding>& findings) {
    check_pixels(subject, findings);
    check_crop(subject, findings);
    check_contents(subject, findings);
}

}  // namespace hangtrue::checks
