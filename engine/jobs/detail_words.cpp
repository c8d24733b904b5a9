// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/detail_words.h"

#include <algorithm>
#include <cmath>

#include "engine/checks/limits.h"
#include "engine/optics/vision.h"
#include "engine/plan/words.h"

namespace hangtrue::jobs {
namespace {

using base::number_text;

constexpr double told_from = 0.0005;  // Share of the pixels.
constexpr double told_halo = 0.05;    // Of an edge's contrast.
constexpr double least_noise = 0.05;  // Less is none to a tenth.

std::string percent(double share, int decimals = 1) { return number_text(100 * share, decimals) + " %"; }

/// How wide and high the picture may hang so that its detail is sharp from `distance`.
base::SizeMm sharp_size(const PictureDetail& detail, base::Millimetres distance) {
    const double cycles = detail.detail.measured.detail_cycles_per_px;
    const double share = optics::detail_ppi({1}, cycles).value;
    const double mm_a_px = base::millimetres_per_inch / optics::resolved_ppi(distance).value;
    return {{detail.pixels.width * share * mm_a_px}, {detail.pixels.height * share * mm_a_px}};
}

std::string grain_words(double sd) {
    if (sd < 0.7) return "hardly any";
    if (sd < 2) return "little: it shows in large prints seen from near alone";
    if (sd < 5) return "visible as fine grain in large prints";
    return "strong: it shows at most sizes";
}

}  // namespace

std::vector<std::string> detail_sentences(const PictureDetail& detail, base::ShownUnits units) {
    const picture::Measured& measured = detail.detail.measured;
    const double megapixels = static_cast<double>(detail.pixels.count()) / 1e6;
    std::vector<std::string> sentences;
    if (measured.detail_cycles_per_px == 0) {
        sentences.push_back("No structure stands above the noise anywhere: there is no detail to tell by.");
    } else {
        const double share = detail.true_megapixels / megapixels;
        std::string first = "Its finest real structure is " + number_text(measured.detail_cycles_per_px, 2) +
                            " cycles a pixel (0.5 is all that pixels can hold): ";
        first += share > 0.8 ? "all of its " + number_text(megapixels, 1) + " megapixels count."
                             : number_text(detail.true_megapixels, 1) + " of its " + number_text(megapixels, 1) +
                                   " megapixels count; the rest holds nothing finer.";
        sentences.push_back(first);
        sentences.push_back("It is sharp in the hand up to " +
                            plan::in_both_units(sharp_size(detail, optics::hand_distance), units) + ", and from " +
                            base::distance_text(base::Millimetres{1000}) + " away up to " +
                            plan::in_both_units(sharp_size(detail, base::Millimetres{1000}), units) + ".");
    }
    if (measured.enlarged_before > 1) {
        sentences.push_back("It seems to have been enlarged before, or by the camera itself, about " +
                            number_text(measured.enlarged_before, 2) +
                            " times: use the picture as it was before that, if you have it.");
    }
    if (measured.noise.sd_8bit >= least_noise) {
        sentences.push_back("Noise: a standard deviation of " + number_text(measured.noise.sd_8bit, 1) +
                            " of 255 steps, " + grain_words(measured.noise.sd_8bit) + ".");
    } else {
        sentences.push_back("Noise: none that can be told from texture.");
    }
    if (measured.halo_overshoot >= told_halo) {
        const bool is_much = measured.halo_overshoot > checks::much_overshoot;
        sentences.push_back("Edges overshoot by " + percent(measured.halo_overshoot, 0) +
                            " of their contrast: it was sharpened already" +
                            (is_much ? ", strongly. For print, take it less sharpened." : ", no more than is usual."));
    }
    if (detail.jpeg_quality > 0) {
        std::string jpeg = detail.jpeg_in_the_past ? "It was a JPEG once" : "It is a JPEG";
        jpeg += ", coded about as coarsely as quality " + std::to_string(detail.jpeg_quality) + " of 100";
        jpeg += measured.blocking > checks::much_blocking ? ", and the borders of its blocks show." : ".";
        sentences.push_back(jpeg);
    }
    if (measured.clipped_white >= told_from) {
        sentences.push_back("In " + percent(measured.clipped_white, 2) +
                            " of it red, green or blue is at its brightest, and drawing is lost in that colour.");
    }
    if (measured.clipped_black >= told_from) {
        sentences.push_back(percent(measured.clipped_black, 2) + " of it is plain black: nothing is drawn there.");
    }
    return sentences;
}

}  // namespace hangtrue::jobs
