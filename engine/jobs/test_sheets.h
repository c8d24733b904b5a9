// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Making test sheets: a small print file of cells, patches and marks, and the page that says how to judge it.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/checks/checks.h"
#include "engine/jobs/context.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/trial/texts.h"

namespace hangtrue::jobs {

struct TestSheetRequest {
    std::filesystem::path picture;
    plan::Wish wish;                     ///< Of the final print; its correction is not looked at.
    std::optional<base::SizeMm> on;      ///< The sheet's size; nothing: the cheapest of the final print's process.
    std::optional<base::RealRect> part;  ///< Its upper left corner says which part; nothing: what tells most.
    std::filesystem::path to;
    bool replace = false;
    bool anyway = false;
};

struct MadeTestSheet {
    Ending ending = Ending::done;
    std::string sentence;  ///< Where refused.
    std::vector<checks::Finding> findings;
    std::filesystem::path file;
    std::filesystem::path guide;  ///< PDF.
    plan::Plan plan;              ///< Of the sheet's file.
    std::string costs;            ///< "34.00 USD"; empty where the shop has told no price.
    plan::Plan print;             ///< Of the final print whose part the cells show.
    trial::KeptSheet kept;
    std::vector<std::string> remarks;
};

/// Throws InvalidWish also where the size has no room for five cells: with the next size and its price.
MadeTestSheet make_test_sheet(const TestSheetRequest& request, Context& context);

}  // namespace hangtrue::jobs
