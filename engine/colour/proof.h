// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Soft proof: what a print file looks like once it is printed, in the colours of a screen.
///
/// Samples are those of the file space, encoded, 0 to 1; what comes out are the screen profile's, encoded, 0 to 1.
/// Building one takes a fraction of a second; it is then a value to read from any thread.

#include <memory>
#include <optional>
#include <span>
#include <variant>

#include "engine/colour/conversion.h"
#include "engine/colour/correction.h"
#include "engine/colour/difference.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

/// A medium without a profile, as test prints have shown it.
struct MeasuredPrint {
    Lab paper{100, 0, 0};  ///< D50, the perfect diffuser being 100, 0, 0.
    Lab black{0, 0, 0};    ///< Relative to the paper.
    /// How files must differ from pictures for its prints to match them: the print is the file with that undone.
    Correction correction = no_correction();
};

/// What is known of how a medium is printed: its profile (grey, RGB or CMYK), or what was measured.
using PrintCondition = std::variant<Profile, MeasuredPrint>;

struct ProofSettings {
    bool paper_white = true;  ///< The paper's own white beside the screen's; false: it is the screen's white.
    bool paper_black = true;  ///< The print's black as light as it is; false: it is the screen's black.
    /// How the shop's machine brings the file into the print, where there is a profile. A file that is in the print
    /// profile's own space is taken as it is.
    ConversionSettings printing = {};
};

class Proof {
  public:
    /// `screen`: RGB. Throws UnreadableInput where a profile cannot be used, one way or back.
    Proof(const Profile& file_space, const PrintCondition& print, const Profile& screen,
          const ProofSettings& settings = {});
    ~Proof();
    Proof(Proof&&) noexcept;

    /// In place.
    void apply(const Planes& planes) const;

    /// One colour of the file as it is printed: Lab D50, with paper_white that of the print itself, else relative to
    /// the paper.
    Lab printed(std::array<float, 3> file) const;

    /// False for a measured print: what it cannot hold is not known.
    bool knows_gamut() const;
    /// How far each colour of the file is from the nearest that the print can hold, its black taken for black: dE00,
    /// 0 where the gamut is not known. `out` as long as the planes.
    void outside(const Planes& file, std::span<float> out) const;

    Lab paper() const;  ///< D50, absolute.
    Lab black() const;  ///< Relative to the paper: where the file's black comes out.

    Path path() const;        ///< table or exact
    PathError error() const;  ///< Of the table, against the exact way.

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::colour
