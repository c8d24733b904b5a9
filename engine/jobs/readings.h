// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What test sheets told: answers of the eye, scans, instruments; and what follows from all of them.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/jobs/context.h"
#include "engine/jobs/corrections.h"
#include "engine/ledger/trial_records.h"
#include "engine/trial/belief.h"
#include "engine/trial/texts.h"

namespace hangtrue::jobs {

/// An answer in the user's words.
struct AnswerRequest {
    std::int64_t sheet = 0;
    std::string cell;                       ///< "E"; or "E,F" for between two.
    std::string second;                     ///< The next best; may be empty.
    std::string all_too;                    ///< "dark", "light", "green", "magenta", "warm", "cool"; may be empty.
    std::string grey;                       ///< "G4": which grey looks neutral; may be empty.
    std::optional<double> screen_candelas;  ///< White of the screen, cd/m2.
    std::filesystem::path screen_profile;   ///< ICC file; may be empty.
    std::optional<double> light_lux;
};

/// What is known of a medium after a reading, or at any time.
struct TestStatus {
    ledger::Printed printed;
    std::string shop_name;
    std::string medium_name;
    trial::Learned learned;
    std::int64_t correction_id = 0;  ///< The latest; 0 where nothing was read yet.
    int sheets_made = 0;
    std::optional<double> error_after_next;   ///< By eye, with one more sheet (dE00).
    std::optional<std::int64_t> sheet_cents;  ///< What one costs, where the shop has told.
    std::string currency;
    bool is_enough = false;              ///< Stop here.
    std::vector<std::string> sentences;  ///< For a photographer, in order.
    std::vector<std::string> remarks;    ///< A new screen, another light; what a scan could tell.
};

/// Each throws InvalidWish, UnreadableInput, LedgerFailed, and then leaves the ledger as it was.
TestStatus take_answer(const AnswerRequest& request, Context& context);
/// `is_photograph`: of a camera, whose colours are not measured ones whatever its profile says.
TestStatus take_scan(std::int64_t sheet, const std::filesystem::path& file, bool is_photograph, Context& context);
/// Patches by their names, as CGATS.17 (ISO 28178).
TestStatus take_measurement(std::int64_t sheet, const std::filesystem::path& file, Context& context);
/// What was answered of a sheet, scanned or measured counts no more; the ledger keeps it. Throws InvalidWish where
/// nothing counted.
TestStatus withdraw_readings(std::int64_t sheet, Context& context);
/// `process`: empty for what the shop has not told, or where there is but one. Throws InvalidWish where there are
/// several and none is meant, with their names.
TestStatus test_status(const std::string& shop, const std::string& medium, const std::string& process,
                       Context& context);

/// What was read of a medium up to that time (as the ledger writes it; empty: until now) and had not been taken back,
/// the first first.
struct CountedReading {
    std::int64_t sheet = 0;  ///< Its number.
    std::string taken_at;    ///< ISO 8601 UTC.
    trial::Reading reading;
};
std::vector<CountedReading> counted_readings(const ledger::TrialRecords& records, const ledger::Printed& printed,
                                             const std::string& until = "");

/// What the answers so far say: what the next sheet's cells are chosen by.
trial::Belief belief_of(const ledger::Printed& printed, const Context& context);

}  // namespace hangtrue::jobs
