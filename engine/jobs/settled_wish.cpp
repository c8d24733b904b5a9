// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/settled_wish.h"

#include <algorithm>
#include <utility>

#include "engine/base/error.h"
#include "engine/jobs/corrections.h"
#include "engine/jobs/older_plan.h"
#include "engine/jobs/profiles.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::jobs {
namespace {

void add_findings(std::vector<checks::Finding>& findings, const plan::Plan& plan, const shops::Medium& medium,
                  const plan::PictureFacts& picture, base::ShownUnits units) {
    for (checks::Finding& finding : checks::findings({plan, medium, picture, units})) {
        const bool known = std::any_of(findings.begin(), findings.end(),
                                       [&](const checks::Finding& other) { return other.name == finding.name; });
        if (!known) findings.push_back(std::move(finding));
    }
}

/// The plan's medium as the shop offers it today, where it still does. Throws UnreadableInput where the shop's file is
/// broken.
std::optional<shops::Medium> medium_today(const plan::Plan& plan, const Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    const shops::Shop* shop = shops::find_shop(folder, plan.shop);
    if (shop == nullptr) return std::nullopt;
    for (const shops::Medium& medium : shop->media) {
        if (medium.id == plan.medium) return medium;
    }
    return std::nullopt;
}

/// What a wish needs of shops and records.
struct Found {
    const plan::Wish& wish;
    const OpenedPicture& picture;
    const Context& context;
    shops::Shop shop;
    shops::Medium medium;
    FileSpace space;
    plan::PlannedCorrection correction = {};

    std::vector<plan::Plan> plans(const std::optional<plan::NetworkFacts>& network) const {
        return plan::settled(wish, shop, medium, picture.facts, space.facts, context.units, network, correction);
    }
    std::vector<checks::Finding> findings(const std::vector<plan::Plan>& of) const {
        std::vector<checks::Finding> all;
        for (const plan::Plan& panel : of) add_findings(all, panel, medium, picture.facts, context.units);
        return all;
    }
};

Found found_for(const plan::Wish& wish, const OpenedPicture& picture, const Context& context) {
    const shops::ShopFolder shops = known_shops(context);
    const shops::Shop& shop = shops::shop_named(shops, wish.shop);
    const shops::Medium& medium = shops::medium_named(shop, wish.medium);
    Found found{wish, picture, context, shop, medium, file_space_of(medium, context)};
    // Which process prints the size is known only now, and what was learned holds for one process.
    const ledger::Printed printed = printed_as(shop.id, medium, found.plans({}).front().process);
    if (const auto latest = latest_correction(printed, context)) {
        found.medium = as_measured(std::move(found.medium), latest->learned);
        found.correction = wished_correction(wish.correction, printed, context);
    } else if (wish.correction.which == plan::CorrectionWish::Which::numbered) {
        found.correction = wished_correction(wish.correction, printed, context);  // Says that there is none.
    }
    return found;
}

}  // namespace

SettledWish settled_wish(const plan::Wish& wish, const std::optional<plan::Plan>& plan, const OpenedPicture& picture,
                         const ledger::Ledger& ledger, const Context& context, std::span<const NetworkTrial> trials) {
    if (plan) {
        if (plan->picture.content != picture.facts.content) {
            throw base::UnreadableInput(picture.path.string() + " is not the picture that this plan was made for (" +
                                        plan->picture.name + "): its content is another.");
        }
        SettledWish settled{.plans = {carried_out_today(*plan)},
                            .medium = medium_today(*plan, context),
                            .file_profile = profile_with(plan->file_profile, ledger, "this plan"),
                            .network = network_of(plan->network, context),
                            .trial = {},
                            .findings = {},
                            .notice = older_plan_notice(*plan)};
        if (settled.medium) {
            add_findings(settled.findings, *plan, *settled.medium, picture.facts, context.units);
        } else {
            settled.findings.push_back(checks::medium_gone(*plan));
        }
        return settled;
    }
    Found found = found_for(wish, picture, context);
    SettledWish settled{.plans = found.plans({}),
                        .medium = {},
                        .file_profile = found.space.profile,
                        .network = {},
                        .trial = {},
                        .findings = {},
                        .notice = {}};
    if (auto wished = wished_network(wish.enlarging, settled.plans.front().enlarging, context)) {
        // Which blur of the picture the network undoes shows only when it is tried; sharpening goes by it.
        const enlarge::Measures told = found.plans(wished->facts).front().network.measures;
        settled.network = wished->network;
        const auto known = std::find_if(trials.begin(), trials.end(), [&](const NetworkTrial& trial) {
            return trial.network == wished->network->hash() && trial.told == told;
        });
        settled.trial = known != trials.end() ? *known : trial_of(*wished->network, told, picture, ledger, context);
        wished->facts.undone_blur_px = settled.trial->undone_blur_px;
        settled.plans = found.plans(wished->facts);
    }
    settled.findings = found.findings(settled.plans);
    settled.medium = std::move(found.medium);
    return settled;
}

std::vector<checks::Finding> findings_untried(const plan::Wish& wish, const OpenedPicture& picture,
                                              const Context& context) {
    const Found found = found_for(wish, picture, context);
    std::vector<plan::Plan> plans = found.plans({});
    if (const auto name = network_name(wish.enlarging, plans.front().enlarging)) {
        plans = found.plans(plan::NetworkFacts{.name = *name, .weights = {}});
    }
    return found.findings(plans);
}

}  // namespace hangtrue::jobs
