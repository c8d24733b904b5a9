// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What was learned of a medium: how files must differ from pictures for its prints to match them.
///
/// In CIELAB, D50, relative to the medium's white, as a profile's connection space has it: the correction stands
/// between the picture's own colours and the file space. It is written down as what happens to greys: another
/// lightness, and a tint. Other colours follow as a printer's channels do, each with a curve of its own: their red,
/// green and blue light each go where a grey of that light would. The curves go from black to white without falling,
/// and both ends stay where they are. Pure, thread-safe.

#include <array>
#include <cstddef>

#include "engine/colour/difference.h"
#include "engine/colour/matrix_model.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

/// Red, green and blue light (of the primaries of Adobe RGB (1998), which hold what is printed), each as the L* of a
/// grey of that light: what a correction's curves act on. A grey has three alike; colours beyond what the primaries mix
/// have some under 0 or over 100.
using Channels = std::array<double, 3>;
/// Each undoes the other. Lab is D50, relative to the medium's white.
Channels channels_of(Lab colour);
Lab colour_of(Channels channels);

struct Correction {
    /// Knots at L* 0, 5, 10 … 100.
    static constexpr std::size_t knots = 21;
    static constexpr double knot_step = 5;
    using Curve = std::array<double, knots>;

    Curve lightness{};  ///< The file's L* for the L* of a grey.
    Curve a{};          ///< Its a*…
    Curve b{};          ///< …and b*; 0 at both ends.

    friend bool operator==(const Correction&, const Correction&) = default;
};

/// From knot to knot, of the tone and of each channel's own lightness; less would leave tones that cannot be told
/// apart, and no inverse.
inline constexpr double least_rise = 0.25;

Correction no_correction();

/// The ends stay, tone and channels rise, and nothing moves by more than 60.
bool is_valid(const Correction& correction);

/// `wanted` as near as a valid correction can be: ends put right, tints made less where a channel would fall.
Correction made_valid(const Correction& wanted);

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

Correction correction_of(const Shift& shift);

/// Three lights that mix to every colour, one of each to the connection space's white.
struct Primaries {
    Matrix3 to_xyz{};
    Matrix3 from_xyz{};
};

/// A correction made ready to be applied: the channels' curves, monotone cubics through the knots (Fritsch, Butland,
/// SIAM J. Sci. Stat. Comput. 5, 1984). Light below black or above white is left alone.
class Corrector {
  public:
    explicit Corrector(const Correction& correction);
    /// The channels are those of `channels`, a matrix RGB profile: what that space holds stays in it.
    Corrector(const Correction& correction, const Profile& channels);
    Lab corrected(Lab picture) const;
    /// The same, D50, white's Y being 1: the shorter way for whoever has no Lab.
    Xyz corrected(Xyz picture) const;
    /// The other way: the picture's colour that becomes `file`.
    Lab uncorrected(Lab file) const;

  private:
    Corrector(const Correction& correction, const Primaries& primaries);
    struct Channel {
        Correction::Curve value{};  ///< Lightness of the channel's light, as of a grey of it, at the knots.
        Correction::Curve slope{};
    };
    Primaries m_primaries;
    std::array<Channel, 3> m_channels;
};

/// For one colour.
Lab corrected(const Correction& correction, Lab picture);
Lab uncorrected(const Correction& correction, Lab file);

}  // namespace hangtrue::colour
