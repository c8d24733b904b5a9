// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/networks.h"

#include "engine/base/error.h"

namespace hangtrue::jobs {

namespace {

std::filesystem::path weights_file(const std::string& name, const Context& context) {
    return context.models_folder / (name + ".weights");
}

}  // namespace

std::optional<plan::NetworkFacts> network_facts(plan::Enlarging wished, const Context& context) {
    const auto facts = [&](const char* name) {
        const enlarge::Weights weights = enlarge::Weights::from_file(weights_file(name, context));
        return plan::NetworkFacts{name, weights.hash()};
    };
    switch (wished) {
        case plan::Enlarging::fine: return facts("fine");
        case plan::Enlarging::quick: return facts("quick");
        case plan::Enlarging::automatic:
        case plan::Enlarging::filter: break;
    }
    return std::nullopt;
}

std::shared_ptr<const enlarge::Network> network_of(const plan::Plan& plan, const Context& context) {
    if (plan.network.doublings == 0) return nullptr;
    auto network =
        std::make_shared<const enlarge::Network>(enlarge::Weights::from_file(weights_file(plan.network.name, context)));
    if (network->hash() != plan.network.weights) {
        throw base::UnreadableInput("The weights of \"" + plan.network.name + "\" in " +
                                    context.models_folder.string() +
                                    " are not those that this plan was made with, so its print cannot be made again "
                                    "alike. Put the earlier weights there, or settle the wish anew.");
    }
    return network;
}

}  // namespace hangtrue::jobs
