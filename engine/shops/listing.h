// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A medium in words, for `shop show` and the window: labels and values, laid out by the program.
/// Pure, thread-safe.

#include <string>
#include <vector>

#include "engine/base/units_text.h"
#include "engine/shops/medium.h"

namespace hangtrue::shops {

struct Fact {
    std::string label;  ///< "ppi"
    std::string value;  ///< "150, at least 100, at most 300"; "not told" for an open question.
    bool is_told = true;
};

/// What a medium is and how its file must be, in the order in which one asks.
std::vector<Fact> facts(const Medium& medium, base::ShownUnits units);

/// One line of the price list; empty where not told.
struct PriceLine {
    std::string name;
    std::string finished;  ///< "36 x 24 in"
    std::string file;      ///< Where the shop names it.
    std::string process;
    std::string price;  ///< "189.00"; a free size's is for a square metre.
};

/// The sizes in the order of the file; free sizes come last, named "free size".
std::vector<PriceLine> price_list(const Medium& medium, base::ShownUnits units);

}  // namespace hangtrue::shops
