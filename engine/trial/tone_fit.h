// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From measured patches to the correction: the tone curve and tints that the medium's files need. Deterministic,
/// thread-safe.
///
/// Greys are read channel by channel, as a correction acts: where the red channel of a printed grey is that of L* 46,
/// red must be sent what was sent there for an L* of 46 to be printed. So a tint is taken away whole also where the
/// print is steeper or flatter than the picture. Colours tell nothing of this that greys do not: in 100 virtual shops,
/// 32 of them among the readings changed the mean difference by less than 0.01.
///
/// The shop's own way of printing is not told: colours darker than its black are either all printed as that black
/// (relative colorimetric) or all light is moved between black and paper (black point compensation, ISO 18619; much
/// as perceptual tables do). Both are held against the wedge, and the one is taken that needs the smaller and likelier
/// error of the shop's.

#include <optional>
#include <span>

#include "engine/colour/correction.h"
#include "engine/colour/difference.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// A patch as it was sent and as it was printed, both relative to white.
struct SentAndRead {
    colour::Lab sent;
    colour::Lab read;
    double sd = 0.3;  ///< Of what was read, dE76.
    Patch::Kind kind = Patch::Kind::grey;
};

struct ToneFit {
    colour::Correction curves;
    colour::Shift shift;  ///< At L* 50.
    colour::Shift sd;
    double misfit = 0;  ///< What the greys differ by from what the curves say, dE76, root mean square.
};

/// `trust`: how far the readings are believed beyond their own scatter, as a standard deviation of L*, a* and b*: 0.3
/// for a scan with a profile, more where the camera's own tone is in them. Needs at least eight greys of the wedge,
/// black and white among them, else nothing.
std::optional<ToneFit> tone_fitted(std::span<const SentAndRead> patches, double trust);

}  // namespace hangtrue::trial
