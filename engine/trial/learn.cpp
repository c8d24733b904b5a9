// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/learn.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <vector>

#include "engine/trial/perceived.h"
#include "engine/trial/tone_fit.h"

namespace hangtrue::trial {

namespace {

constexpr double half_life_days = 365;

double weight_of(const ReadSheet& read) { return std::exp2(-std::max(0.0, read.age_days) / half_life_days); }

const Patch* patch_named(const Sheet& sheet, const std::string& name) {
    const auto found = std::find_if(sheet.patches.begin(), sheet.patches.end(),
                                    [&](const Patch& patch) { return patch.name == name; });
    return found == sheet.patches.end() ? nullptr : &*found;
}

std::vector<SentAndRead> sent_and_read(const KeptSheet& kept, const Measured& measured) {
    std::vector<SentAndRead> result;
    for (const ReadPatch& read : measured.patches) {
        if (const Patch* patch = patch_named(kept.sheet, read.name)) {
            result.push_back({patch->lab, read.lab, read.sd, patch->kind});
        }
    }
    return result;
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

Belief believed_of(std::span<const ReadSheet> readings) {
    std::vector<Evidence> evidence;
    for (const ReadSheet& read : readings) {
        if (!read.reading.answer) continue;
        Evidence one{read.sheet.sheet.cells, {}, read.sheet.part_colours, *read.reading.answer, weight_of(read)};
        for (const Patch& patch : read.sheet.sheet.patches) {
            if (patch.kind == Patch::Kind::near_grey) one.greys.push_back(patch);
        }
        evidence.push_back(std::move(one));
    }
    return believed(evidence);
}

Learned learned_from(std::span<const ReadSheet> readings) {
    Learned learned;
    std::set<std::int64_t> sheets;
    std::vector<Weighed> fits;
    std::optional<colour::Lab> paper;
    for (const ReadSheet& read : readings) {
        sheets.insert(read.sheet.sheet.number);
        if (!read.reading.measured) continue;
        const Measured& measured = *read.reading.measured;
        if (measured.paper) {
            learned.paper_difference = paper ? colour::delta_e_2000(*paper, *measured.paper) : 0;
            paper = measured.paper;
        }
        if (measured.f50_cycles_per_mm) learned.f50_cycles_per_mm = measured.f50_cycles_per_mm;
        if (static_cast<int>(read.reading.by) < static_cast<int>(learned.by)) continue;
        const auto fit = tone_fitted(sent_and_read(read.sheet, measured), trust_of(read.reading.by));
        if (!fit) continue;
        if (read.reading.by != learned.by) fits.clear();
        learned.by = read.reading.by;
        fits.push_back({*fit, weight_of(read)});
    }
    learned.sheets = static_cast<int>(sheets.size());
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
