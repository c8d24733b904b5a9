// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/proofs.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <utility>

#include "engine/base/output_file.h"
#include "engine/colour/print_gamut.h"
#include "engine/jobs/corrections.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/profiles.h"
#include "engine/jobs/readings.h"
#include "engine/optics/light.h"
#include "engine/plan/light.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::jobs {
namespace {

struct Condition {
    colour::PrintCondition print;
    ProofBasis basis = ProofBasis::assumed;
    std::string sentence;
};

/// What the newest test print that was measured absolutely told of paper and black.
struct Ends {
    colour::Lab paper;
    colour::Lab black;
};
std::optional<Ends> measured_ends(const ledger::Printed& printed, const Context& context) {
    std::optional<Ends> ends;
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    for (const auto& [sheet, taken_at, reading] : counted_readings(records, printed)) {
        if (!reading.measured || !reading.measured->paper || reading.measured->patches.empty()) continue;
        const auto& patches = reading.measured->patches;
        const auto darkest = std::min_element(
            patches.begin(), patches.end(),
            [](const auto& first, const auto& second) { return first.lab.lightness < second.lab.lightness; });
        ends = Ends{*reading.measured->paper, darkest->lab};
    }
    return ends;
}

Ends assumed_ends(const shops::Medium& medium) {
    const optics::Surface surface = plan::surface_of(medium);
    const auto grey = [](double light) { return colour::Lab{colour::lightness_of(light), 0, 0}; };
    return {grey(surface.reflectance), grey(std::pow(10, -surface.density))};
}

Condition condition_of(const plan::Plan& plan, const Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    shops::Medium medium;
    if (const shops::Shop* shop = shops::find_shop(folder, plan.shop)) {
        for (const shops::Medium& offered : shop->media) {
            if (offered.id == plan.medium) medium = offered;
        }
    }
    if (auto profile = print_profile_of(medium, context)) {
        std::string sentence = "Shown through the print profile \"" + profile->description() + "\".";
        return {std::move(*profile), ProofBasis::profile, std::move(sentence)};
    }
    const ledger::Printed printed = printed_as(plan.shop, medium, plan.process);
    const auto measured = measured_ends(printed, context);
    const Ends ends = measured.value_or(assumed_ends(medium));
    colour::MeasuredPrint print{ends.paper, ends.black};
    std::string bias;
    if (const auto latest = latest_correction(printed, context); latest && latest->learned.is_applied) {
        print.correction = latest->learned.curves;
        bias = ", with the shop's bias as correction " + std::to_string(latest->id) + " says it";
    }
    const std::string kind = measured
                                 ? "Shown on paper and with the black that a test print was measured to have" + bias
                                 : "The medium has no print profile and no test print was measured: paper and "
                                   "black are guessed from its kind" +
                                       bias;
    return {print, measured ? ProofBasis::measured : ProofBasis::assumed,
            kind + ". Which colours it cannot hold is not known without a profile."};
}

colour::Intent intent_of(plan::Intent intent) {
    switch (intent) {
        case plan::Intent::perceptual: return colour::Intent::perceptual;
        case plan::Intent::relative: return colour::Intent::relative_colorimetric;
        case plan::Intent::saturation: return colour::Intent::saturation;
        case plan::Intent::absolute: return colour::Intent::absolute_colorimetric;
    }
    return colour::Intent::relative_colorimetric;
}

struct OwnPlanes {
    std::vector<float> red, green, blue;
    explicit OwnPlanes(std::size_t count) : red(count), green(count), blue(count) {}
    colour::Planes planes() { return {red, green, blue}; }
};

/// Two pixels in eight, slantwise: of the other end of the scale, so that they show on any colour.
void hatch(const std::vector<float>& excess, base::PixelRect where, OwnPlanes& shown) {
    constexpr int period = 8;
    constexpr int line = 2;
    for (std::size_t i = 0; i < excess.size(); ++i) {
        if (!(excess[i] > colour::gamut_limit)) continue;
        const int x = where.x + static_cast<int>(i % static_cast<std::size_t>(where.width));
        const int y = where.y + static_cast<int>(i / static_cast<std::size_t>(where.width));
        if (((x + y) % period + period) % period >= line) continue;
        const float light = 0.3F * shown.red[i] + 0.6F * shown.green[i] + 0.1F * shown.blue[i];
        shown.red[i] = shown.green[i] = shown.blue[i] = light < 0.5F ? 1.0F : 0.0F;
    }
}

template <typename Sample>
std::size_t proofed(const PreparedProof& prepared, base::PixelRect where, std::span<Sample> samples) {
    constexpr auto most = static_cast<float>(std::numeric_limits<Sample>::max());
    const std::size_t count = samples.size() / 3;
    OwnPlanes shown(count);
    for (std::size_t i = 0; i < count; ++i) {
        shown.red[i] = static_cast<float>(samples[3 * i]) / most;
        shown.green[i] = static_cast<float>(samples[3 * i + 1]) / most;
        shown.blue[i] = static_cast<float>(samples[3 * i + 2]) / most;
    }
    std::vector<float> excess(prepared.hatches ? count : 0);
    if (prepared.hatches) prepared.proof.outside(shown.planes(), excess);
    prepared.proof.apply(shown.planes());
    hatch(excess, where, shown);
    for (std::size_t i = 0; i < count; ++i) {
        samples[3 * i] = static_cast<Sample>(std::lround(shown.red[i] * most));
        samples[3 * i + 1] = static_cast<Sample>(std::lround(shown.green[i] * most));
        samples[3 * i + 2] = static_cast<Sample>(std::lround(shown.blue[i] * most));
    }
    return static_cast<std::size_t>(
        std::count_if(excess.begin(), excess.end(), [](float off) { return off > colour::gamut_limit; }));
}

}  // namespace

PreparedProof prepared_proof(const plan::Plan& plan, const colour::Profile& file_profile, const colour::Profile& screen,
                             const ProofWish& wish, const Context& context) {
    const Condition condition = condition_of(plan, context);
    const colour::ProofSettings settings{.paper_white = wish.paper_white,
                                         .paper_black = wish.paper_black,
                                         .printing = {intent_of(wish.intent), wish.black_point_compensation}};
    PreparedProof prepared{
        colour::Proof(file_profile, condition.print, screen, settings), condition.basis, false, {condition.sentence}};
    prepared.hatches = wish.hatch && prepared.proof.knows_gamut();
    return prepared;
}

std::size_t proof_rows(const PreparedProof& prepared, base::PixelRect where, int bits, std::span<std::byte> samples) {
    assert(samples.size() == static_cast<std::size_t>(where.width) * static_cast<std::size_t>(where.height) * 3 *
                                 static_cast<std::size_t>(bits / 8));
    if (bits == 8) {
        return proofed(prepared, where, std::span(reinterpret_cast<std::uint8_t*>(samples.data()), samples.size()));
    }
    return proofed(prepared, where, std::span(reinterpret_cast<std::uint16_t*>(samples.data()), samples.size() / 2));
}

}  // namespace hangtrue::jobs
