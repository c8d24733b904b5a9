// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Runs a check once for each vector instruction set that both this processor and this program have.

#include <gtest/gtest.h>
#include <hwy/targets.h>

#include <cstdint>

namespace hangtrue::support {

template <typename Check>
void for_every_target(Check&& check) {
    const std::int64_t supported = hwy::SupportedTargets();
    for (std::int64_t left = supported; left != 0; left &= left - 1) {
        const std::int64_t target = left & -left;
        hwy::SetSupportedTargetsForTest(target);
        hwy::GetChosenTarget().Update(target);
        SCOPED_TRACE(hwy::TargetName(target));
        check();
    }
    hwy::SetSupportedTargetsForTest(0);
    hwy::GetChosenTarget().Update(supported);
}

}  // namespace hangtrue::support
