// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/networks.h"

#include "engine/base/error.h"
#include "engine/render/network_trial.h"
#include "engine/text/document.h"
#include "engine/text/writer.h"

namespace hangtrue::jobs {
namespace {

/// Raised whenever trying would find otherwise.
constexpr int trial_version = 1;

std::string trial_text(const NetworkTrial& trial) {
    text::Writer writer(1);
    writer.value("told_noise_sd", trial.told.noise_sd)
        .value("told_blur_px", trial.told.blur_px)
        .value("told_coding", trial.told.coding)
        .value("undone_blur_px", trial.undone_blur_px);
    return writer.text();
}

NetworkTrial trial_from_text(std::string_view kept) {
    const text::Document document = text::Document::parse(kept, "the ledger's record of what a network did", 1);
    text::Table root = document.root();
    NetworkTrial trial;
    trial.told.noise_sd = root.required("told_noise_sd").any_real();
    trial.told.blur_px = root.required("told_blur_px").any_real();
    trial.told.coding = root.required("told_coding").any_real();
    trial.undone_blur_px = root.required("undone_blur_px").any_real();
    return trial;
}

std::filesystem::path weights_file(const std::string& name, const Context& context) {
    return context.models_folder / (name + ".weights");
}

}  // namespace

std::optional<std::string> network_name(plan::Enlarging wished, double enlarging) {
    if (enlarging <= 1) return std::nullopt;
    switch (wished) {
        case plan::Enlarging::automatic:
            if (enlarging < plan::least_enlarging_by_network) break;
            return "fine";
        case plan::Enlarging::fine: return "fine";
        case plan::Enlarging::quick: return "quick";
        case plan::Enlarging::filter: break;
    }
    return std::nullopt;
}

std::optional<WishedNetwork> wished_network(plan::Enlarging wished, double enlarging, const Context& context) {
    const auto name = network_name(wished, enlarging);
    if (!name) return std::nullopt;
    auto network = std::make_shared<const enlarge::Network>(enlarge::Weights::from_file(weights_file(*name, context)));
    return WishedNetwork{{*name, network->hash()}, network};
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

NetworkTrial trial_of(const enlarge::Network& network, const enlarge::Measures& measures, const OpenedPicture& picture,
                      const ledger::Ledger& ledger, const Context& context) {
    if (const auto kept = ledger.trial(picture.facts.content, network.hash(), trial_version)) {
        NetworkTrial trial = trial_from_text(*kept);
        trial.network = network.hash();
        // Where the picture was measured another way then, something else was tried.
        if (trial.told == measures) return trial;
    }
    const colour::WorkingForm working(picture.profile, source_model(picture.facts.info.model), picture.facts.file_name);
    return {network.hash(), measures,
            render::undone_blur_px(network, measures, working, *picture.reader, context.threads, context.progress)};
}

void remember_trial(const NetworkTrial& trial, const OpenedPicture& picture, ledger::Ledger& ledger) {
    ledger.keep_trial(picture.facts.content, trial.network, trial_version, trial_text(trial));
}

}  // namespace hangtrue::jobs
