// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Soft proofs of settled plans: what is known of how the medium prints, and the print's colours on a screen.

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/colour/proof.h"
#include "engine/jobs/context.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"

namespace hangtrue::jobs {

/// How the print is to be shown.
struct ProofWish {
    bool paper_white = true;  ///< The paper's own white beside the screen's; false: the screen's white.
    bool paper_black = true;  ///< The print's own black; false: the screen's.
    plan::Intent intent = plan::Intent::relative;  ///< How the shop's machine brings the file into the print…
    bool black_point_compensation = true;          ///< …where there is a print profile.
    bool hatch = false;                            ///< Colours that the print cannot hold are hatched.
};

/// What a proof rests on.
enum class ProofBasis { profile, measured, assumed };

struct PreparedProof {
    colour::Proof proof;
    ProofBasis basis = ProofBasis::assumed;
    bool hatches = false;                ///< As wished, where the gamut is known.
    std::vector<std::string> sentences;  ///< What it rests on, and what it cannot show.
};

/// By the medium's print profile; else by what test prints told of paper, black and bias; else by its kind alone.
/// `screen`: RGB. Takes a fraction of a second; looks into the shops' folder and the ledger. Throws UnreadableInput.
PreparedProof prepared_proof(const plan::Plan& plan, const colour::Profile& file_profile, const colour::Profile& screen,
                             const ProofWish& wish, const Context& context);

/// Rows of the file's samples (interleaved R G B, 8 or 16 bits) become the screen's, in place. `where`: of what is
/// shown; the hatching goes by it. Returns how many of the pixels the print cannot hold; 0 where that is not known or
/// not asked. Thread-safe.
std::size_t proof_rows(const PreparedProof& prepared, base::PixelRect where, int bits, std::span<std::byte> samples);

}  // namespace hangtrue::jobs
