// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the records say, as values: jobs fill them from the ledger.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace hangtrue::checks {

/// What is known of the correction that a print gets.
struct AppliedCorrection {
    std::int64_t id = 0;
    double age_days = 0;
    double most_days = 365;       ///< From the date that the user set, else a year.
    double paper_difference = 0;  ///< Between the last two papers measured, dE00.
    /// Lux by which the eye judged the test prints, the dimmest; nothing: not said, or not by eye.
    std::optional<double> judged_lux = {};
    bool has_different_screens = false;  ///< The eye judged on several, or on one that was set otherwise in between.
    bool has_light = false;              ///< The tones are changed for the light it will hang in, too.
    double clipped_share = 0;  ///< Of the picture, that the correction newly brings out of the file space, 0..1.
};
inline constexpr double most_paper_difference = 2;  ///< Estimate: papers differ less from box to box.
inline constexpr double most_clipped_share = 0.01;
/// Under less the eye has answered the dim light already, and the correction holds the answer.
inline constexpr double least_judging_lux = 300;

/// A print made before of the same picture, or of an earlier state of it, showing the same part.
struct EarlierPrint {
    std::int64_t id = 0;  ///< In the ledger.
    std::string made_on;  ///< "2026-03-14".
    std::string medium_name;
    bool is_same_medium = false;   ///< Shop, medium and process are this print's.
    bool is_same_picture = false;  ///< The picture's file has the same content; else it was edited since.
    std::int64_t correction = 0;   ///< That it got; 0: none.
    double light_lux = 0;          ///< That its tones were changed for; 0: none.
    /// Mean L* of what this print and the earlier one are: of the files' samples where the medium is the same, else of
    /// the samples before their corrections, since each medium has its own.
    double lightness_then = 0;
    double lightness_now = 0;
};
inline constexpr double most_lightness_change = 3;  ///< L*; estimate: 1 is just visible side by side.

struct History {
    int sheets_made = 0;  ///< Test sheets of this medium and process…
    int sheets_read = 0;  ///< …and those from which something was read.
    /// How unsure a neutral grey's tint is on this medium, as colour difference (one standard deviation of a* and b*
    /// together); 0: not known.
    double tint_doubt = 0;
    std::optional<AppliedCorrection> correction;
    std::vector<EarlierPrint> earlier;  ///< Newest first.
};

}  // namespace hangtrue::checks
