// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What all readings of a medium together say. Values alone.

#include <optional>

#include "engine/colour/correction.h"

namespace hangtrue::trial {

struct Learned {
    /// By what: the eye teaches shop, screen and light together, the others the shop alone.
    enum class By { nothing, eye, photograph, scan };
    By by = By::nothing;
    int sheets = 0;           ///< From which something was read.
    bool is_applied = false;  ///< False: what would be gained is less sure than that anything is.
    colour::Correction curves = colour::no_correction();  ///< What is best by today's knowledge, applied or not.
    colour::Shift shift;                                  ///< The same in four numbers…
    colour::Shift sd;                                     ///< …and how unsure they are.
    double error_now = 0;         ///< Expected colour difference (dE00, everyday colours) of uncorrected prints…
    double error = 0;             ///< …and of corrected ones.
    double paper_difference = 0;  ///< Between the last two papers measured, dE00; 0 where there are none.
    std::optional<double> f50_cycles_per_mm;  ///< The medium's blur, where a scan has told it.
};

}  // namespace hangtrue::trial
