// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/networks.h"

#include "engine/base/error.h"
#include "engine/render/network_trial.h"

namespace hangtrue::jobs {
namespace {

std::filesystem::path weights_file(const std::string& name, const Context& context) {
    return context.models_folder / (name + ".weights");
}

}  // namespace

std::optional<WishedNetwork> wished_network(plan::Enlarging wished, double enlarging, const Context& context) {
    if (enlarging <= 1) return std::nullopt;
    const auto read = [&](const char* name) {
        auto network =
            std::make_shared<const enlarge::Network>(enlarge::Weights::from_file(weights_file(name, context)));
        return WishedNetwork{{name, network->hash()}, network};
    };
    switch (wished) {
        case plan::Enlarging::automatic:
            if (enlarging < plan::least_enlarging_by_network) break;
            return read("fine");
        case plan::Enlarging::fine: return read("fine");
        case plan::Enlarging::quick: return read("quick");
        case plan::Enlarging::filter: break;
    }
    return std::nullopt;
}

std::shared_ptr<const enlarge::Network> network_of(const plan::PlannedNetwork& planned, const Context& context) {
    if (planned.doublings == 0) return nullptr;
    auto network =
        std::make_shared<const enlarge::Network>(enlarge::Weights::from_file(weights_file(planned.name, context)));
    if (network->hash() != planned.weights) {
        throw base::UnreadableInput("The weights of \"" + planned.name + "\" in " + context.models_folder.string() +
                                    " are not those that this plan was made with, so its print cannot be made again "
                                    "alike. Put the earlier weights there, or settle the wish anew.");
    }
    return network;
}

double undone_blur_px(const enlarge::Network& network, const enlarge::Measures& measures, const OpenedPicture& picture,
                      const Context& context) {
    const colour::WorkingForm working(picture.profile, source_model(picture.facts.info.model), picture.facts.file_name);
    return render::undone_blur_px(network, measures, working, *picture.reader, context.threads, context.progress);
}

}  // namespace hangtrue::jobs
