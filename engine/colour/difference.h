// SPDX-License-Identifier: Apache-2.0
#pragma once

/// CIELAB and colour differences (CIE 15; ISO/CIE 11664-4, -6). Pure mathematics, thread-safe.

#include <array>
#include <span>

#include "engine/colour/profile.h"

namespace hangtrue::colour {

struct Lab {
    double lightness = 0;
    double a = 0;
    double b = 0;
};

struct Xyz {
    double x = 0;
    double y = 0;
    double z = 0;
};

/// The ICC profile connection white (D50): s15Fixed16 0xF6D6, 0x10000, 0xD32D.
inline constexpr Xyz d50{0.964202880859375, 1.0, 0.8249053955078125};

Lab lab_from_xyz(Xyz colour, Xyz white = d50);
Xyz xyz_from_lab(Lab colour, Xyz white = d50);

/// L* (0 to 100) of a luminance (0 to 1, white's being 1), and back; beyond them the formula goes on. CIE 15.
double lightness_of(double luminance);
double luminance_of(double lightness);

/// CIE76, CIE94 (graphic arts; the first is the standard) and CIEDE2000 (Sharma, Wu, Dalal 2005).
double delta_e_76(Lab first, Lab second);
double delta_e_94(Lab standard, Lab sample);
double delta_e_2000(Lab first, Lab second);

/// RGB of a profile (0..1, interleaved) to Lab D50, relative colorimetric, by Little CMS's exact path.
class LabReader {
  public:
    explicit LabReader(const Profile& profile);
    ~LabReader();
    LabReader(LabReader&&) noexcept;
    Lab lab(std::array<float, 3> rgb) const;
    void lab(std::span<const float> rgb_interleaved, std::span<Lab> out) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::colour
