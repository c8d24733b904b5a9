// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/check_report.h"

#include <algorithm>
#include <string>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/base/units_text.h"
#include "engine/jobs/tickets.h"
#include "engine/plan/words.h"
#include "engine/report/findings_page.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;
constexpr int page_picture_px = 1400;

std::string severity_word(checks::Severity severity) {
    switch (severity) {
        case checks::Severity::stop: return "Stop";
        case checks::Severity::look: return "Look";
        case checks::Severity::note: return "Note";
    }
    return "";
}

/// "Found: 132 ppi. The line is at 200 ppi." Nothing where a finding counts nothing.
std::string figure_words(const checks::Finding& finding) {
    if (finding.unit.empty() || finding.figure == 0) return {};
    const auto number = [](double value) { return base::number_text(value, std::abs(value) < 10 ? 2 : 0); };
    return "Found: " + number(finding.figure) + " " + finding.unit + ". The line is at " + number(finding.limit) + ".";
}

base::RealRect in_shares(const base::RealRect& part, base::PixelSize size) {
    return {part.x / size.width, part.y / size.height, part.width / size.width, part.height / size.height};
}

std::string verdict_of(const std::vector<checks::Finding>& findings, bool anyway) {
    if (findings.empty()) return "Nothing stands in the way of this print.";
    if (!checks::stops(findings, anyway).empty()) return "As it stands, this print would be refused.";
    return "This print can be made.";
}

report::FindingsPage page_of(const CheckOutcome& print, const report::SmallPicture& small, bool anyway,
                             const Context& context) {
    const plan::Plan& plan = print.plans.front();
    const base::PixelSize size = plan.picture.size;
    report::FindingsPage page;
    page.picture_name = fs::path(plan.picture.name).stem().string();
    page.shop_name = plan.shop_name;
    page.medium_name = plan.medium_name;
    page.print_size = plan::in_both_units(plan.geometry.finished, context.units);
    if (print.plans.size() > 1) page.print_size = std::to_string(print.plans.size()) + " panels of " + page.print_size;
    page.verdict = verdict_of(print.findings, anyway);
    page.made_on = base::timestamp(context.clock.now()).substr(0, 10);
    page.picture = small;
    for (const plan::Plan& panel : print.plans) page.crops.push_back(in_shares(panel.geometry.crop, size));
    for (const checks::Finding& finding : print.findings) {
        report::FindingsPage::Entry entry{severity_word(finding.severity),
                                          finding.sentence,
                                          finding.way_out,
                                          finding.option.empty() ? finding.command : finding.option,
                                          figure_words(finding),
                                          {}};
        for (const base::PixelRect& place : finding.where) {
            entry.where.push_back(in_shares({static_cast<double>(place.x), static_cast<double>(place.y),
                                             static_cast<double>(place.width), static_cast<double>(place.height)},
                                            size));
        }
        page.entries.push_back(std::move(entry));
    }
    return page;
}

}  // namespace

void write_check_report(const fs::path& picture, std::span<const CheckOutcome> prints, const fs::path& out,
                        bool replace, bool anyway, Context& context) {
    expect_free_name(picture, out, replace, context);
    StageSeconds seconds;
    OpenedPicture opened = unmeasured_picture(picture, scratch_folder(), context, seconds);
    const base::PixelSize size = opened.facts.info.size;
    const report::SmallPicture small = small_picture(
        opened, {0, 0, static_cast<double>(size.width), static_cast<double>(size.height)}, page_picture_px, context);
    std::vector<report::FindingsPage> pages;
    for (const CheckOutcome& print : prints) {
        if (!print.plans.empty()) pages.push_back(page_of(print, small, anyway, context));
    }
    if (!pages.empty()) report::write_findings(pages, out, existing_rule(replace), context.faults);
}

}  // namespace hangtrue::jobs
