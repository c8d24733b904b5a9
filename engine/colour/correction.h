// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What was learned of a medium: how files must differ from pictures for its prints to match them.
///
/// In CIELAB, D50, relative to the medium's white, as a profile's connection space has it: the correction stands
/// between the picture's own colours and the file space. The tone goes from black to white without falling, and both
/// ends stay where they are. Pure, thread-safe.

#include <array>
#include <cstddef>

#include "engine/colour/difference.h"

namespace hangtrue::colour {

struct Correction {
    /// Knots at L* 0, 5, 10 … 100.
    static constexpr std::size_t knots = 21;
    static constexpr double knot_step = 5;
    using Curve = std::array<double, knots>;

    Curve lightness{};  ///< The file's L* for the picture's; rises by at least `least_rise` from knot to knot.
    Curve a{};          ///< Added to a*…
    Curve b{};          ///< …and to b*, by the picture's L*; 0 at both ends.

    friend bool operator==(const Correction&, const Correction&) = default;
};

/// Between two knots; less would leave tones that cannot be told apart, and no inverse.
inline constexpr double least_rise = 0.25;

Correction no_correction();

/// The ends stay, the tone rises, and nothing moves by more than 60.
bool is_valid(const Correction& correction);

/// What four numbers say: a middle grey lighter by `lightness`, shifted by `a` and `b`, the tones about it further
/// apart by the share `contrast`; all fade to nothing at black and white.
struct Shift {
    double lightness = 0;  ///< L* at 50.
    double a = 0;          ///< Of a* and b* at L* 50.
    double b = 0;
    double contrast = 0;  ///< 0.1: the slope at L* 50 is 1.1.
    friend bool operator==(const Shift&, const Shift&) = default;
};

/// How much of a shift holds at `lightness` 0 to 100: 1 in the middle, 0 at both ends.
double shift_weight(double lightness);

/// A shift whose tone would fall somewhere is held to `least_rise` there.
Correction correction_of(const Shift& shift);

/// Monotone cubics through the knots (Fritsch, Butland, SIAM J. Sci. Stat. Comput. 5, 1984). L* beyond 0..100 is left
/// alone.
Lab corrected(const Correction& correction, Lab picture);
/// The other way: the picture's colour that becomes `file`.
Lab uncorrected(const Correction& correction, Lab file);

}  // namespace hangtrue::colour
