// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/checks/limits.h"
#include "engine/optics/vision.h"
#include "engine/picture/detail.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

using base::number_text;

/// Noise, as the eye passes it on, L*; estimate, between what is measured as just visible and as bothersome.
constexpr double visible_noise = 0.4;
/// L* for a code of 8 bits of sRGB, middle grey (IEC 61966-2-1, CIE 15: 0.392 at code 128).
constexpr double lightness_per_code = 0.39;
/// Quality 75 of the IJG scale: half of JPEG's example table (ITU-T T.81 K.1).
constexpr double coarse_coding = 0.5;

void check_finest(const Subject& subject, std::vector<Finding>& findings) {
    const plan::Plan& plan = subject.plan;
    const picture::Measured& measured = subject.picture.measured;
    if (measured.detail_cycles_per_px <= 0) return;
    const base::PixelsPerInch detail = optics::detail_ppi(plan.picture_ppi, measured.detail_cycles_per_px);
    const base::Millimetres distance = plan.sharpening.design_distance;
    // Where the pixels alone are too few for that distance, they are the finding (check_picture).
    if (optics::is_sharp(detail, distance) || !optics::is_sharp(plan.picture_ppi, distance)) return;
    const std::string before = measured.enlarged_before > 1
                                   ? " It seems to have been enlarged before, about " +
                                         number_text(measured.enlarged_before, 2) +
                                         " times: take it as it was before that, if you have it."
                                   : "";
    findings.push_back(found(
        "too-little-detail",
        "However many pixels it has, the finest real detail of this picture is coarse for this size: seen from " +
            plan::distance_in_both_units(distance, subject.units) + " the print will look soft, and sharp from " +
            plan::distance_in_both_units(optics::sharp_from(detail), subject.units) + " on.",
        {detail.value, optics::resolved_ppi(distance).value, "ppi of detail"},
        "Hang it where nobody comes nearer than that, or take it smaller for the same place (--distance)." + before));
}

/// The standard deviation that is left of the picture's noise, spread over its frequencies as measured, after the
/// print's blur and the eye's contrast sensitivity, both 1 at their best: the integral of the noise's power in two
/// dimensions.
double share_seen(const plan::Plan& plan, const shops::Medium& medium) {
    const optics::Noise& noise = plan.picture.noise;
    const double pixels_per_mm = plan.picture_ppi.value / base::millimetres_per_inch;
    const base::Millimetres distance = plan.sharpening.design_distance;
    const double most_cycles = 0.5 * pixels_per_mm;
    double best = 0;
    for (double cpd = 1; cpd < 20; cpd += 0.1) best = std::max(best, optics::contrast_sensitivity({cpd}));
    constexpr int steps = 400;
    double variance = 0;
    for (int i = 0; i < steps; ++i) {
        const double f = (i + 0.5) / steps * most_cycles;  // cycles a mm
        const double eye = optics::contrast_sensitivity(optics::at_the_eye(f, distance)) / best;
        const double relative = f / medium.f50_cycles_per_mm();
        const double print = std::exp2(-relative * relative);  // A Gaussian that keeps half at f50.
        // White noise has the same power everywhere in the square of both axes up to half a cycle a pixel; what is
        // coarser than a quarter cycle has a quarter of that square.
        const bool is_coarse = f < 0.25 * pixels_per_mm;
        const double power = is_coarse ? noise.coarse_share / optics::white_coarse_share
                                       : (1 - noise.coarse_share) / (1 - optics::white_coarse_share);
        variance += power * eye * eye * print * print * 2 * std::numbers::pi * f * (most_cycles / steps) /
                    (pixels_per_mm * pixels_per_mm);
    }
    return std::sqrt(variance);
}

void check_noise(const Subject& subject, std::vector<Finding>& findings) {
    const plan::Plan& plan = subject.plan;
    const bool is_calmed = plan.network.doublings > 0 && plan.network.grain == enlarge::Grain::calm;
    const double sd = plan.picture.noise.sd_8bit;
    if (is_calmed || sd <= 0) return;
    const double seen = sd * lightness_per_code * share_seen(plan, subject.medium);
    if (seen <= visible_noise) return;
    const bool is_network = plan.network.doublings > 0;
    findings.push_back(found("noise-shows",
                             "The picture's noise (" + number_text(sd, 1) +
                                 " of 255) will show as grain at this size, seen from " +
                                 plan::distance_in_both_units(plan.sharpening.design_distance, subject.units) + ".",
                             {seen, visible_noise, "L*"},
                             is_network ? "Leave the grain out when enlarging, or choose a smaller size."
                                        : "Calm the noise in your editor, or choose a smaller size.",
                             is_network ? "--grain calm" : ""));
}

void check_halos(const Subject& subject, std::vector<Finding>& findings) {
    if (subject.picture.measured.halo_overshoot <= much_overshoot) return;
    findings.push_back(found("halos",
                             "The picture was sharpened strongly before: bright and dark seams run along its edges (" +
                                 percent_text(subject.picture.measured.halo_overshoot) +
                                 " of an edge's height), and enlarging makes them wider.",
                             {subject.picture.measured.halo_overshoot * 100, much_overshoot * 100, "%"},
                             "Export it again with less sharpening; until then leave the print's own sharpening off.",
                             "--sharpen off"));
}

void check_jpeg(const Subject& subject, std::vector<Finding>& findings) {
    const double coding = std::max(subject.picture.info.jpeg_coding, subject.picture.measured.jpeg_coding);
    if (coding > coarse_coding) {
        const bool is_jpeg = subject.picture.info.format == raster::FileFormat::jpeg;
        findings.push_back(found("jpeg-damage",
                                 std::string(is_jpeg ? "The JPEG was" : "The picture was a JPEG once, and") +
                                     " saved coarsely, as with quality " +
                                     std::to_string(picture::jpeg_quality(coding)) +
                                     " of 100: enlarged, squares and fringes along edges will show.",
                                 {coding, coarse_coding, "of JPEG's example table"},
                                 "Export it again from its raw file as a TIFF or a JPEG of the best quality."));
        return;
    }
    if (subject.picture.measured.blocking <= much_blocking) return;
    findings.push_back(
        found("jpeg-damage",
              "Squares of 8 x 8 pixels show in the picture, left by an earlier JPEG: enlarged, they will "
              "show in the print.",
              {subject.picture.measured.blocking, much_blocking, "times"},
              "Export it again from its raw file as a TIFF or a JPEG of the best quality."));
}

}  // namespace

void check_detail(const Subject& subject, std::vector<Finding>& findings) {
    check_finest(subject, findings);
    check_noise(subject, findings);
    check_halos(subject, findings);
    check_jpeg(subject, findings);
}

}  // namespace hangtrue::checks
