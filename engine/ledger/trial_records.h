// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ledger's records of test sheets, of what was read from them, and of the corrections learned. Same file, same
/// rules as ledger.h: rows are never deleted, a kill leaves each change done or not begun. Throws LedgerFailed.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/ledger/ledger.h"

namespace hangtrue::ledger {

/// What is learned holds for one medium printed one way.
struct Printed {
    std::string shop;
    std::string medium;
    std::string process;
    friend bool operator==(const Printed&, const Printed&) = default;
};

struct SheetRow {
    std::int64_t number = 0;  ///< Given by the ledger; the sheet's marks carry it.
    std::string made_at;      ///< ISO 8601 UTC.
    Printed printed;
    base::Sha256 picture;
    std::int64_t made = 0;  ///< The record of its file (Row::id); 0 until it has its name.
    std::string text;       ///< The sheet, as the caller writes it.
};

struct ReadingRow {
    std::int64_t id = 0;
    std::int64_t sheet = 0;
    std::string taken_at;
    std::string text;
};

struct CorrectionRow {
    std::int64_t id = 0;
    std::string learned_at;
    Printed printed;
    std::string text;
};

class TrialRecords {
  public:
    explicit TrialRecords(const std::filesystem::path& file, Access access = Access::records);
    ~TrialRecords();

    /// The number of a sheet to be: nothing else is known of it yet.
    std::int64_t reserved_sheet(const SheetRow& row);
    void set_sheet_text(std::int64_t number, const std::string& text);
    void set_sheet_made(std::int64_t number, std::int64_t made);
    /// Of those that were made, the first first.
    std::vector<SheetRow> sheets(const Printed& printed) const;
    /// Of all media, the first first.
    std::vector<SheetRow> all_sheets() const;
    std::optional<SheetRow> sheet(std::int64_t number) const;

    /// A reading and the correction that follows from it, both or neither. Returns the correction's id.
    std::int64_t add_reading(const ReadingRow& reading, const CorrectionRow& correction);
    /// In the order in which they were taken.
    std::vector<ReadingRow> readings(const Printed& printed) const;

    std::optional<CorrectionRow> correction(std::int64_t id) const;
    std::optional<CorrectionRow> latest_correction(const Printed& printed) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::ledger
