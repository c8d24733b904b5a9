// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/learn.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>
#include <vector>

#include "engine/trial/perceived.h"

namespace hangtrue::trial {

namespace {

constexpr double half_life_days = 365;

double weight_of(const ReadSheet& read) { return std::exp2(-std::max(0.0, read.age_days) / half_life_days); }

const Patch* patch_named(const Sheet& sheet, const std::string& name) {
    const auto found = std::find_if(sheet.patches.begin(), sheet.patches.end(),
                                    [&](const Patch& patch) { return patch.name == name; });
    return found == sheet.patches.end() ? nullptr : &*found;
}

/// A camera's own tone is in a photograph: how far it is believed, as a standard deviation of L*, a* and b*.
double trust_of(Learned::By by) { return by == Learned::By::scan ? 0.3 : 1.0; }

/// What a shop means to print is known to this alone (dE): no table of its own is told (estimate).
constexpr double untold_way = 1.2;

struct Weighed {
    ToneFit fit;
    double weight;
};

/// The mean of several fits; a mean of rising curves rises, and its ends stay.
ToneFit mean_of(const std::vector<Weighed>& fits) {
    double sum = 0;
    for (const Weighed& one : fits) sum += one.weight;
    ToneFit mean;
    for (const auto& [fit, weight] : fits) {
        const double share = weight / sum;
        for (std::size_t i = 0; i < colour::Correction::knots; ++i) {
            mean.curves.lightness[i] += share * fit.curves.lightness[i];
            mean.curves.a[i] += share * fit.curves.a[i];
            mean.curves.b[i] += share * fit.curves.b[i];
        }
        mean.shift.lightness += share * fit.shift.lightness;
        mean.shift.a += share * fit.shift.a;
        mean.shift.b += share * fit.shift.b;
        mean.shift.contrast += share * fit.shift.contrast;
        mean.misfit += share * fit.misfit;
    }
    mean.curves.lightness.front() = 0;
    mean.curves.lightness.back() = 100;
    mean.sd = fits.back().fit.sd;
    return mean;
}

double mean_difference(const colour::Correction& first, const colour::Correction& second) {
    double sum = 0;
    for (const colour::Lab& lab : everyday_colours())
        sum += colour::delta_e_2000(corrected(first, lab), corrected(second, lab));
    return sum / static_cast<double>(everyday_colours().size());
}

}  // namespace

std::vector<SentAndRead> sent_and_read(const Sheet& sheet, const Measured& measured) {
    std::vector<SentAndRead> result;
    for (const ReadPatch& read : measured.patches) {
        if (const Patch* patch = patch_named(sheet, read.name)) {
            result.push_back({patch->lab, read.lab, read.sd, patch->kind});
        }
    }
    return result;
}

Belief believed_of(std::span<const ReadSheet> readings) {
    // A later answer to a sheet takes the place of an earlier one: somebody looked again, or had mistyped.
    std::map<std::int64_t, Evidence> by_sheet;
    for (const ReadSheet& read : readings) {
        if (!read.reading.answer) continue;
        const Answer& given = *read.reading.answer;
        Evidence& one = by_sheet[read.sheet.sheet.number];
        if (one.cells.empty()) {
            one.cells = read.sheet.sheet.cells;
            one.part = read.sheet.part_colours;
            for (const Patch& patch : read.sheet.sheet.patches) {
                if (patch.kind == Patch::Kind::near_grey) one.greys.push_back(patch);
            }
        }
        one.weight = weight_of(read);
        if (given.grey) one.answer.grey = given.grey;
        if (given.best.empty() && !given.all) continue;
        const auto grey = one.answer.grey;
        one.answer = given;
        one.answer.grey = grey;
    }
    std::vector<Evidence> evidence;
    for (auto& [number, one] : by_sheet) evidence.push_back(std::move(one));
    return believed(evidence);
}

Learned learned_from(std::span<const ReadSheet> readings) {
    Learned learned;
    std::set<std::int64_t> measured_sheets;
    std::set<std::int64_t> answered_sheets;
    std::vector<Weighed> fits;
    std::optional<colour::Lab> paper;
    for (const ReadSheet& read : readings) {
        if (!read.reading.measured) {
            answered_sheets.insert(read.sheet.sheet.number);
            continue;
        }
        const Measured& measured = *read.reading.measured;
        if (measured.paper) {
            learned.paper_difference = paper ? colour::delta_e_2000(*paper, *measured.paper) : 0;
            paper = measured.paper;
        }
        if (static_cast<int>(read.reading.by) < static_cast<int>(learned.by)) continue;
        const auto fit = tone_fitted(sent_and_read(read.sheet.sheet, measured), trust_of(read.reading.by));
        if (!fit) continue;
        if (read.reading.by != learned.by) {
            fits.clear();
            measured_sheets.clear();
        }
        learned.by = read.reading.by;
        measured_sheets.insert(read.sheet.sheet.number);
        if (measured.f50_cycles_per_mm) learned.f50_cycles_per_mm = measured.f50_cycles_per_mm;
        fits.push_back({*fit, weight_of(read)});
    }
    learned.sheets = static_cast<int>(fits.empty() ? answered_sheets.size() : measured_sheets.size());
    if (!fits.empty()) {
        const ToneFit fit = mean_of(fits);
        learned.curves = fit.curves;
        learned.shift = fit.shift;
        learned.sd = fit.sd;
        learned.error_now = mean_difference(colour::no_correction(), fit.curves);
        learned.error = std::hypot(fit.misfit, trust_of(learned.by), untold_way);
        learned.is_applied = learned.error_now > learned.error;
        return learned;
    }
    if (std::none_of(readings.begin(), readings.end(),
                     [](const ReadSheet& read) { return bool(read.reading.answer); })) {
        return learned;
    }
    const Belief belief = believed_of(readings);
    learned.by = Learned::By::eye;
    learned.curves = colour::correction_of(belief.mean);
    learned.shift = belief.mean;
    learned.sd = belief.sd;
    learned.error_now = belief.error_now;
    learned.error = belief.error;
    learned.is_applied = belief.is_worth_it();
    return learned;
}

}  // namespace hangtrue::trial
