// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Someone who holds a test sheet beside the picture and answers. What the picture should look like is what the same
/// shop would print of it without its bias.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/colour/difference.h"
#include "tests/virtual_shop/shop.h"

namespace hangtrue::virtual_shop {

struct Cell {
    std::string letter;
    std::vector<colour::Lab> blocks;  ///< As printed.
};

struct Answer {
    std::string cell;
    std::string second;              ///< Empty where there is but one cell.
    std::optional<std::string> all;  ///< "too dark", "too light", "green", "magenta", "warm" or "cool".
    double difference = 0;           ///< Of the chosen cell, dE00, without the eye's error.
};

/// The mean colour difference (CIEDE2000) over the blocks.
double mean_difference(std::span<const colour::Lab> printed, std::span<const colour::Lab> wanted);

/// Each cell's difference is judged with an error of its own (normal, standard deviation `error` dE00); the smallest
/// wins. "All are too …" where every cell is seen on the same side by more than 2.
Answer answered(std::span<const Cell> cells, std::span<const colour::Lab> wanted, double error, Chance& chance);

struct GreyPatch {
    std::string name;
    colour::Lab relative;  ///< As printed, against the bare paper.
};

/// The patch that looks most neutral; an error of `error` dE in a* and in b* each. Empty where there is none.
std::string most_neutral(std::span<const GreyPatch> patches, double error, Chance& chance);

}  // namespace hangtrue::virtual_shop
