// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a test sheet told. Values alone.

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/colour/difference.h"
#include "engine/text/document.h"

namespace hangtrue::trial {

/// A flat colour of the sheet as it was printed.
struct ReadPatch {
    std::string name;  ///< The sheet's name for it.
    colour::Lab lab;   ///< D50, relative to the bare paper (which is 100, 0, 0).
    double sd = 0;     ///< Of its mean, as colour difference (dE76).
};

/// By scan, photograph or instrument.
struct Measured {
    /// The values are those of the colours themselves: a scan with a profile, an instrument. Else brightness and tint
    /// of greys against the paper alone can be trusted.
    bool is_absolute = false;
    std::optional<colour::Lab> paper;  ///< Where absolute.
    std::vector<ReadPatch> patches;
    std::optional<double> f50_cycles_per_mm;  ///< Where the edges tell: half of the contrast is left there.
};

/// What an eye chose, and in which circumstances.
struct Answer {
    enum class All { dark, light, green, magenta, warm, cool };
    static constexpr text::Word<All> all_words[] = {{"dark", All::dark},   {"light", All::light},
                                                    {"green", All::green}, {"magenta", All::magenta},
                                                    {"warm", All::warm},   {"cool", All::cool}};
    std::string best;                 ///< The cell's letter; empty where `all` was answered.
    std::string second;               ///< The next best; empty: not said.
    bool is_between = false;          ///< Best and second are equally far off.
    std::optional<All> all;           ///< "All of them are too …"
    std::optional<std::string> grey;  ///< Which patch looks neutral beside the bare paper: needs no screen.

    bool needed_screen() const { return !best.empty() || all.has_value(); }
};

struct Judged {
    std::optional<double> screen_candelas;       ///< White, cd/m2, as the photographer states it.
    std::optional<base::Sha256> screen_profile;  ///< Of the screen's ICC profile.
    std::optional<double> light_lux;             ///< On the print.
};

/// On another screen, or on one set otherwise, as far as both are told: another profile, or a white that is more than
/// 15 % brighter than the other (an estimate).
inline bool are_different_screens(const Judged& one, const Judged& other) {
    if (one.screen_profile && other.screen_profile && one.screen_profile != other.screen_profile) return true;
    if (!one.screen_candelas || !other.screen_candelas) return false;
    const auto [darker, brighter] = std::minmax(*one.screen_candelas, *other.screen_candelas);
    return brighter > 1.15 * darker;
}

}  // namespace hangtrue::trial
