// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A print's samples and its picture's, made small and held whole, for the checks that look at pixels.

#include <optional>
#include <span>

#include "engine/checks/samples.h"
#include "engine/colour/profile.h"
#include "engine/jobs/context.h"
#include "engine/jobs/opened_picture.h"
#include "engine/plan/plan.h"

namespace hangtrue::jobs {

/// The longer side of what is looked at.
inline constexpr int looked_at_px = 800;

/// `panels`: of one wish. `print_profile`: of the medium, where the shop file names one. Reads the picture once, and
/// takes about 50 MB however large it is. Throws UnreadableInput, Cancelled.
checks::Samples print_samples(std::span<const plan::Plan> panels, OpenedPicture& picture,
                              const colour::Profile& file_profile, const std::optional<colour::Profile>& print_profile,
                              Context& context);

}  // namespace hangtrue::jobs
