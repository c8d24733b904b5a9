// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Ways out that lead out: what of a wish to change so that a finding does not come any more.

#include <string>
#include <vector>

#include "engine/checks/checks.h"
#include "engine/jobs/context.h"
#include "engine/jobs/kept_wishes.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/settled_wish.h"
#include "engine/plan/wish.h"

namespace hangtrue::jobs {

/// Of the findings of `settled`, which was settled from `wish`: each option becomes one for which its finding is gone
/// and no other stop has come. That is the option that the check proposes, or the nearest size that the medium offers
/// (a smaller one of the print's shape; for the same place, where the finding is one of detail; one of another shape,
/// where that is the finding). Where none is such, the option is empty. Settles plans, reads no pixels.
void prove_options(SettledWish& settled, const plan::Wish& wish, const OpenedPicture& picture, const Context& context);

/// An option as typed ("--size 24x16in --distance 2m") in words of the wish; empty where it holds anything else.
WishWords words_of_option(const std::string& option);

}  // namespace hangtrue::jobs
