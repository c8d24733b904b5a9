// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <optional>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/plan/grid.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

/// What was ordered: bleed within the size was taken from what hangs.
base::SizeMm ordered_size(const Subject& subject) {
    const auto& geometry = subject.plan.geometry;
    base::SizeMm ordered = geometry.finished;
    if (subject.medium.bleed && subject.medium.bleed->place == shops::BleedPlace::inside) {
        ordered.width = ordered.width + geometry.bleed.left + geometry.bleed.right;
        ordered.height = ordered.height + geometry.bleed.top + geometry.bleed.bottom;
    }
    return ordered;
}

base::SizeMm turned(base::SizeMm size) { return {size.height, size.width}; }

/// `size`, lying or standing.
base::SizeMm turned_as(base::SizeMm size, bool is_lying) {
    return (size.width > size.height) == is_lying || size.width == size.height ? size : turned(size);
}

/// What the shop wants the file of this size to cover, in the plan's orientation; nothing where it does not offer the
/// size (any more).
std::optional<base::SizeMm> wanted_file(const Subject& subject) {
    const base::SizeMm ordered = ordered_size(subject);
    const base::PixelSize file = subject.plan.geometry.file;
    if (const shops::Size* size = shops::find_size(subject.medium, ordered)) {
        if (size->file) return turned_as(*size->file, file.width > file.height);
        return shops::file_size(subject.medium, turned_as(size->finished, ordered.width > ordered.height));
    }
    if (shops::takes_free_size(subject.medium, ordered)) return shops::file_size(subject.medium, ordered);
    return std::nullopt;
}

base::PixelSize in_pixels(base::SizeMm size, base::PixelsPerInch ppi) {
    return {static_cast<int>(plan::nearest_px(size.width, ppi)), static_cast<int>(plan::nearest_px(size.height, ppi))};
}

void check_exact(const Subject& subject, base::SizeMm wanted, std::vector<Finding>& findings) {
    const auto& plan = subject.plan;
    const base::PixelsPerInch ppi = subject.medium.ppi.wanted;
    if (plan.ppi != ppi) {
        findings.push_back(found("pixels-not-exact",
                                 "The shop wants exactly the pixels of " + plan::ppi_text(ppi) +
                                     " ppi, and the file has those of " + plan::ppi_text(plan.ppi) + ".",
                                 {plan.ppi.value, ppi.value, "ppi"}, "Take the shop's ppi, or leave --ppi out.",
                                 "--ppi " + plan::ppi_text(ppi)));
        return;
    }
    const base::PixelSize exact = in_pixels(wanted, ppi);
    const base::PixelSize file = plan.geometry.file;
    if (file == exact) return;
    const bool is_width = file.width != exact.width;
    findings.push_back(found("pixels-not-exact",
                             "The shop wants exactly " + plan::px_text(exact) + " for this size, and the file has " +
                                 plan::px_text(file) + ".",
                             {static_cast<double>(is_width ? file.width : file.height),
                              static_cast<double>(is_width ? exact.width : exact.height), "px"},
                             "Let the bleed be as the shop asks (--bleed auto).", "--bleed auto"));
}

void check_tolerance(const Subject& subject, base::SizeMm wanted, std::vector<Finding>& findings) {
    const base::PixelSize file = subject.plan.geometry.file;
    const double off = std::abs(static_cast<double>(file.width) / file.height / (wanted.width / wanted.height) - 1);
    // Whole pixels: each side may be off by the half of one.
    const double rounding = 0.5 / file.width + 0.5 / file.height;
    if (off <= subject.medium.shape_tolerance + rounding) return;
    const double limit = subject.medium.shape_tolerance * 100;
    findings.push_back(found(
        "shape-off",
        "The file is not of the shape that the shop wants for this size, " +
            plan::in_both_units(wanted, subject.units) + ": its sides' ratio is off by " +
            base::number_text(off * 100, 2) + " %, and the shop takes at most " + base::number_text(limit, 2) + " %.",
        {off * 100, limit, "%"},
        "Let the bleed be as the shop asks (--bleed auto), or settle the wish again if its plan is an older one.",
        "--bleed auto"));
}

}  // namespace

void check_shape(const Subject& subject, std::vector<Finding>& findings) {
    const auto wanted = wanted_file(subject);
    if (!wanted) {
        findings.push_back(found("size-gone",
                                 "The shop file offers no " + subject.medium.name + " in " +
                                     plan::in_both_units(ordered_size(subject), subject.units) +
                                     " any more: the file's shape could not be held against the shop's rules.",
                                 {},
                                 "Settle a wish for a size that the shop has; or, if you know that it still takes this "
                                 "file, pass this check."));
    } else if (subject.medium.pixel_rule == shops::PixelRule::exact) {
        check_exact(subject, *wanted, findings);
    } else if (subject.medium.told.shape_tolerance) {
        check_tolerance(subject, *wanted, findings);
    }
}

}  // namespace hangtrue::checks
