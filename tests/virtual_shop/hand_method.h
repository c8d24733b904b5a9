// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What can be reached without Hangtrue: the best that any change of lightness, tint and contrast can do when the
/// shop's bias is known, the best that any file at all can, and what somebody reaches with rings of fixed steps.
/// Judged by colour alone; never told to the program under test.

#include <span>
#include <vector>

#include "tests/virtual_shop/observer.h"
#include "tests/virtual_shop/printer.h"

namespace hangtrue::virtual_shop {

/// A change of the file, in Lab: full in the middle of the tone scale, none at its ends.
struct Change {
    double lightness = 0;
    double tint_a = 0;
    double tint_b = 0;
    double contrast = 0;
};
colour::Lab changed(const colour::Lab& wanted, const Change& change);

/// dE00 of each colour: printed with the change by `biased`, against what `right` prints without.
std::vector<double> errors(std::span<const colour::Lab> wanted, const Change& change, const Printer& biased,
                           const Printer& right);

/// The change with the smallest mean error, by a pattern search from none.
Change best_change(std::span<const colour::Lab> wanted, const Printer& biased, const Printer& right);

/// dE00 of each colour that is left whatever the file says: a biased printer does not reach all that it would without
/// bias. By a pattern search for each colour.
std::vector<double> least_errors(std::span<const colour::Lab> wanted, const Printer& biased, const Printer& right);

struct HandResult {
    int sheets = 0;
    Change change;
    bool has_ended = true;  ///< The middle won; else `most_sheets` were up.
};

/// The 3x3 ring-around: the middle, six tints round it and a lighter and a darker one, each `step` away, recentred on
/// the chosen cell until the middle wins. `part`: the blocks that the cells show.
HandResult by_hand(std::span<const colour::Lab> part, const Printer& biased, const Printer& right, double step,
                   double error, int most_sheets, Chance& chance);

}  // namespace hangtrue::virtual_shop
