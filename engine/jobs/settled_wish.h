// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A wish or a saved plan, an opened picture and the shop: what `make`, `check` and `view` all begin with.

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/checks/checks.h"
#include "engine/colour/profile.h"
#include "engine/jobs/networks.h"
#include "engine/jobs/opened_picture.h"
#include "engine/plan/plan.h"
#include "engine/shops/medium.h"

namespace hangtrue::jobs {

struct SettledWish {
    std::vector<plan::Plan> plans;        ///< One a panel.
    std::optional<shops::Medium> medium;  ///< As its shop file and test prints have it today; none where it is gone.
    colour::Profile file_profile;
    std::shared_ptr<const enlarge::Network> network;  ///< That all panels are enlarged with; none for the filter.
    std::optional<NetworkTrial> trial;                ///< Of it, where there is none yet in a plan.
    std::vector<checks::Finding> findings;            ///< Of the plans, each once, however many panels have it.
    std::string notice;  ///< That pixels may differ from those of the plan's time; mostly empty.
};

/// `trials`: of this picture, made before; none of them is made anew. Throws InvalidWish; UnreadableInput when `plan`
/// was made for another picture.
SettledWish settled_wish(const plan::Wish& wish, const std::optional<plan::Plan>& plan, const OpenedPicture& picture,
                         const ledger::Ledger& ledger, const Context& context,
                         std::span<const NetworkTrial> trials = {});

/// The findings of the plans that this wish would get, no network read or tried: a moment. Throws InvalidWish.
std::vector<checks::Finding> findings_untried(const plan::Wish& wish, const OpenedPicture& picture,
                                              const Context& context);

}  // namespace hangtrue::jobs
