// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Sheets, readings and what was learned, as texts that the ledger keeps (TOML, format = 1), written by the program
/// alone: each number reads back to the same bits. The from_text functions throw UnreadableInput. Thread-safe.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/trial/learned.h"
#include "engine/trial/reading.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

/// A sheet with what an answer to it is weighed by.
struct KeptSheet {
    Sheet sheet;
    std::vector<colour::Lab> part_colours;  ///< What the cells show, uncorrected.
    bool is_mirrored = false;               ///< The file is; the print is not.
};
std::string sheet_text(const KeptSheet& kept);
KeptSheet sheet_from_text(std::string_view text);

/// One of the three.
struct Reading {
    std::optional<Answer> answer;
    Judged judged;  ///< With an answer.
    std::optional<Measured> measured;
    Learned::By by = Learned::By::eye;
    bool is_withdrawal = false;  ///< What was read from the sheet before counts no more.
};
std::string reading_text(const Reading& reading);
Reading reading_from_text(std::string_view text);

std::string learned_text(const Learned& learned);
Learned learned_from_text(std::string_view text);

}  // namespace hangtrue::trial
