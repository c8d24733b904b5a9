// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The trained networks that lie in the models folder, and which one a plan enlarges with.

#include <memory>
#include <optional>
#include <string>

#include "engine/enlarge/network.h"
#include "engine/jobs/context.h"
#include "engine/jobs/opened_picture.h"
#include "engine/plan/plan.h"

namespace hangtrue::jobs {

/// A network as it was read, and what a plan says of it.
struct WishedNetwork {
    plan::NetworkFacts facts;
    std::shared_ptr<const enlarge::Network> network;
};

/// Which network a wish asks for where so much is enlarged; none for the filter, or where nothing is. Pure.
std::optional<std::string> network_name(plan::Enlarging wished, double enlarging);

/// The network that a wish asks for where so much is enlarged; none for the filter, or where nothing is. Throws
/// UnreadableInput: missing or damaged weights.
std::optional<WishedNetwork> wished_network(plan::Enlarging wished, double enlarging, const Context& context);

/// The one that a plan enlarges with; none where it does not. Throws UnreadableInput also when the weights are not
/// those of the plan.
std::shared_ptr<const enlarge::Network> network_of(const plan::PlannedNetwork& planned, const Context& context);

/// What showed when a network was tried on a picture.
struct NetworkTrial {
    base::Sha256 network;
    enlarge::Measures told;
    double undone_blur_px = 0;  ///< In picture pixels (enlarge/undone_blur.h).
    friend bool operator==(const NetworkTrial&, const NetworkTrial&) = default;
};

/// Tries the network, told `measures`, on parts of the picture in the form that its prints are computed in, or as
/// `ledger` remembers it. Writes nothing: looking leaves no trace. Throws UnreadableInput, LedgerFailed, Cancelled.
NetworkTrial trial_of(const enlarge::Network& network, const enlarge::Measures& measures, const OpenedPicture& picture,
                      const ledger::Ledger& ledger, const Context& context);

/// For jobs that make something of the picture.
void remember_trial(const NetworkTrial& trial, const OpenedPicture& picture, ledger::Ledger& ledger);

}  // namespace hangtrue::jobs
