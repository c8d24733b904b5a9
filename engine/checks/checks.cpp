// SPDX-License-Identifier: Apache-2.0
#include "engine/checks/checks.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
Finding found(std::string_view name, std::string sentence, Figures figures, std::string way_out, std::string option,
              std::vector<base::PixelRect> where) {
    const auto row =
        std::find_if(table().begin(), table().end(), [name](const CheckInfo& info) { return info.name == name; });
    assert(row != table().end());
    return {.name = row->name,
            .severity = row->severity,
            .sentence = std::move(sentence),
            .figure = figures.figure,
            .limit = figures.limit,
            .unit = std::move(figures.unit),
            .way_out = std::move(way_out),
            .option = std::move(option),
            .where = std::move(where),
            .passable = row->passable};
}

Finding with_command(Finding finding, std::string command) {
    finding.command = std::move(command);
    return finding;
}

std::string percent_text(double share) { return base::number_text(share * 100, share < 0.1 ? 1 : 0) + " %"; }

std::string size_word(base::SizeMm size) {
    const auto is_inches = [](base::Millimetres side) {
        constexpr double rounding = 0.02;
        return std::abs(base::in_inches(side) * 4 - std::round(base::in_inches(side) * 4)) < rounding;
    };
    const auto word = [](double width, double height, const char* unit) {
        return base::number_text(width, 2) + "x" + base::number_text(height, 2) + unit;
    };
    if (is_inches(size.width) && is_inches(size.height)) {
        return word(base::in_inches(size.width), base::in_inches(size.height), "in");
    }
    return word(size.width.value, size.height.value, "mm");
}

std::string print_options(const plan::Plan& plan) {
    return "--shop " + plan.shop + " --medium " + plan.medium + " --size " + size_word(plan.geometry.finished);
}

base::PixelRect on_picture(base::PixelRect part, const Samples& samples) {
    const double across = samples.part.width / samples.size.width;
    const double down = samples.part.height / samples.size.height;
    const int left = static_cast<int>(std::floor(samples.part.x + part.x * across));
    const int top = static_cast<int>(std::floor(samples.part.y + part.y * down));
    const int right = static_cast<int>(std::ceil(samples.part.x + part.right() * across));
    const int bottom = static_cast<int>(std::ceil(samples.part.y + part.bottom() * down));
    return {left, top, right - left, bottom - top};
}

std::vector<base::PixelRect> places_on_picture(const Mask& mask, const Samples& samples) {
    std::vector<base::PixelRect> where;
    for (const base::PixelRect& place : places(mask)) where.push_back(on_picture(place, samples));
    return where;
}

std::vector<Finding> findings(const Subject& subject) {
    std::vector<Finding> found_here;
    check_file(subject, found_here);
    check_picture(subject, found_here);
    check_detail(subject, found_here);
    check_print(subject, found_here);
    sort_by_severity(found_here);
    return found_here;
}

std::vector<Finding> findings_in(const Samples& samples, std::span<const plan::Plan> panels,
                                 const shops::Medium& medium, base::ShownUnits units) {
    const Looked looked{samples, panels, medium, units};
    std::vector<Finding> found_here;
    check_tones(looked, found_here);
    check_colours(looked, found_here);
    check_safe_area(looked, found_here);
    sort_by_severity(found_here);
    return found_here;
}

void sort_by_severity(std::vector<Finding>& findings) {
    std::stable_sort(findings.begin(), findings.end(),
                     [](const Finding& a, const Finding& b) { return a.severity < b.severity; });
}

Finding medium_gone(const plan::Plan& plan) {
    return found("medium-gone",
                 "No shop file has the medium of this plan any more, " + plan::in_quotes(plan.medium_name) + " (" +
                     plan.medium + ") from " + plan.shop_name + " (" + plan.shop +
                     "): the print could not be held against the shop's rules.",
                 {},
                 "Settle a wish for a medium that the shop has; or, if you know that it still takes this file, pass "
                 "this check.");
}

Finding process_not_told(const plan::Plan& print) {
    return with_command(
        found("process-not-told",
              print.shop_name + " has not said whether " + plan::in_quotes(print.medium_name) +
                  " is printed the same way at every size: another machine or material has a bias of its own, and "
                  "this sheet would tell nothing of it.",
              {}, "Ask the shop before you pay; the letter is written for you."),
        "hangtrue shop questions " + print.shop);
}

std::vector<Finding> stops(const std::vector<Finding>& findings, bool anyway) {
    std::vector<Finding> result;
    std::copy_if(findings.begin(), findings.end(), std::back_inserter(result), [anyway](const Finding& finding) {
        return finding.severity == Severity::stop && !(anyway && finding.passable);
    });
    return result;
}

}  // namespace hangtrue::checks
