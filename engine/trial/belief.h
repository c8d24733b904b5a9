// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From answers to what is believed of a medium: which shift its files need, and how surely. Bayes with a prior of what
/// shops do and the eye's own error. Deterministic, thread-safe.
///
/// One of N (Thurstone 1927; Luce 1959): each cell is judged with an independent error; the least judged difference is
/// chosen. A next best is a choice among the rest (Plackett 1975).

#include <array>
#include <span>
#include <string>
#include <vector>

#include "engine/colour/correction.h"
#include "engine/trial/prior.h"
#include "engine/trial/reading.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// An answer with what it was given to.
struct Evidence {
    std::vector<Cell> cells;
    std::vector<Patch> greys;       ///< Those of the kind near_grey.
    std::vector<colour::Lab> part;  ///< The colours that the cells show, uncorrected.
    Answer answer;
    double weight = 1;  ///< Less than 1 for old ones.
};

/// Samples of what may be, with weights that add up to 1.
struct Belief {
    struct Sample {
        colour::Shift shift;
        double weight = 0;
    };
    std::vector<Sample> samples;
    colour::Shift mean;
    colour::Shift sd;
    double error = 0;      ///< Expected colour difference over everyday colours that is left when `mean` is applied…
    double error_now = 0;  ///< …and when nothing is.
    double gain_sd = 0;    ///< Of error_now less error: what the gain may really be.
    bool is_worth_it() const { return error_now - error > gain_sd; }
};

/// With no evidence: the prior (prior.h).
Belief believed(std::span<const Evidence> evidence);

}  // namespace hangtrue::trial
