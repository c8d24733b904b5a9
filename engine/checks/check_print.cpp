// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

/// From here on a print of metal or acrylic weighs several kilograms. Common practice, no source.
constexpr double heavy_square_metres = 1.0;

double largest(const base::Edges<base::Millimetres>& edges) {
    return std::max({edges.top.value, edges.right.value, edges.bottom.value, edges.left.value});
}

void check_edges(const Subject& subject, std::vector<Finding>& findings) {
    const auto& geometry = subject.plan.geometry;
    const auto& bleed = subject.medium.bleed;
    if (bleed && bleed->place != shops::BleedPlace::none && largest(bleed->widths) > 0 &&
        largest(geometry.bleed) == 0 && largest(geometry.wrap) == 0) {
        findings.push_back(found(
            "no-bleed",
            "The shop asks for " + plan::edge_in_both_units(base::Millimetres{largest(bleed->widths)}, subject.units) +
                " of bleed, and the file has none: white may show at the edge, or the edge be cut off.",
            {0, largest(bleed->widths), "mm"}, "Let the bleed be as the shop asks (--bleed auto).", "--bleed auto"));
    }
    // The picture runs round where its own pixels reach beyond the face.
    const bool runs_round = largest(geometry.wrap) > 0 && geometry.image.width > geometry.finished_px.width &&
                            geometry.image.height > geometry.finished_px.height;
    if (runs_round) {
        const auto area = [](const base::PixelRect& rect) { return static_cast<double>(rect.width) * rect.height; };
        const double share = 1 - area(geometry.finished_px) / area(geometry.image);
        findings.push_back(found(
            "wrapped-round",
            base::number_text(share * 100, 0) + " % of the picture goes round the bars and is not seen from the front.",
            {share * 100, 0, "%"}, "Ask for a mirrored wrap (--wrap mirror) to keep the whole picture in front.",
            "--wrap mirror"));
    }
}

void check_mirroring(const Subject& subject, std::vector<Finding>& findings) {
    if (subject.plan.geometry.mirrored) {
        findings.push_back(found("mirrored",
                                 "The file is mirrored left to right, as the shop wants it: the "
                                 "print will be right way round.",
                                 {}, "Nothing is to be done; do not mirror it back."));
    } else if (subject.medium.blur == shops::BlurClass::acrylic_mount && !subject.medium.mirrored) {
        findings.push_back(found("mirrored-untold",
                                 "The shop has not said whether it wants files for acrylic mirrored; the file is not.",
                                 {}, "Ask the shop (shop questions) and note the answer as mirrored."));
    }
}

void check_order(const Subject& subject, std::vector<Finding>& findings) {
    if (!subject.medium.improvement_off) {
        findings.push_back(found("improvement-untold",
                                 "The shop has not said whether its order form changes pictures by itself.", {},
                                 "Look for a box like \"improve my picture\" on the form and switch it off; ask "
                                 "the shop (shop questions)."));
    }
}

void check_weight(const Subject& subject, std::vector<Finding>& findings) {
    const auto blur = subject.medium.blur;
    const auto& finished = subject.plan.geometry.finished;
    const double square_metres = finished.width.value * finished.height.value / 1e6;
    const bool is_heavy_kind = blur == shops::BlurClass::metal || blur == shops::BlurClass::acrylic_mount;
    if (!is_heavy_kind || square_metres <= heavy_square_metres) return;
    findings.push_back(
        found("heavy-print",
              "A print of this size is heavy, and falls hard: hang it from fixings rated for its weight, "
              "in a wall that bears it.",
              {square_metres, heavy_square_metres, "m2"},
              "Ask the shop for its weight and hangers, follow the local rules, and ask a professional if in doubt."));
}

}  // namespace

void check_print(const Subject& subject, std::vector<Finding>& findings) {
    check_edges(subject, findings);
    check_mirroring(subject, findings);
    check_order(subject, findings);
    check_weight(subject, findings);
}

}  // namespace hangtrue::checks
