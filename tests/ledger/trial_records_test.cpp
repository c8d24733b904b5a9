// SPDX-License-Identifier: Apache-2.0
#include "engine/ledger/trial_records.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "tests/ledger/support.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::ledger {
namespace {

namespace fs = std::filesystem;
using support::TemporaryFolder;
using testing::IsEmpty;
using testing::SizeIs;

const Printed metal{"quillfen", "metal-white", "Wide press"};
const Printed other_process{"quillfen", "metal-white", "Desk press"};

SheetRow some_sheet(const Printed& printed) {
    return {0, "2026-03-14T09:26:53Z", printed, hash_of("picture"), 0, "sheet"};
}

std::int64_t made_sheet(TrialRecords& records, const Printed& printed) {
    const std::int64_t number = records.reserved_sheet(some_sheet(printed));
    records.set_sheet_made(number, 7);
    return number;
}

TEST(trial_records, a_sheet_is_known_only_once_its_file_is_made) {
    const TemporaryFolder folder;
    TrialRecords records(folder.path() / "ledger.sqlite");
    const std::int64_t number = records.reserved_sheet(some_sheet(metal));
    EXPECT_EQ(number, 1);
    EXPECT_FALSE(records.sheet(number));
    records.set_sheet_text(number, "whole");
    records.set_sheet_made(number, 12);
    const auto row = records.sheet(number);
    ASSERT_TRUE(row);
    EXPECT_EQ(row->text, "whole");
    EXPECT_EQ(row->made, 12);
    EXPECT_EQ(row->printed, metal);
    EXPECT_EQ(row->made_at, "2026-03-14T09:26:53Z");
    EXPECT_EQ(row->picture, some_sheet(metal).picture);
}

TEST(trial_records, all_sheets_are_those_of_every_medium_that_were_made) {
    const TemporaryFolder folder;
    TrialRecords records(folder.path() / "ledger.sqlite");
    const std::int64_t first = made_sheet(records, metal);
    records.reserved_sheet(some_sheet(metal));
    const std::int64_t third = made_sheet(records, other_process);
    const auto sheets = records.all_sheets();
    ASSERT_EQ(sheets.size(), 2u);
    EXPECT_EQ(sheets[0].number, first);
    EXPECT_EQ(sheets[1].number, third);
    EXPECT_EQ(sheets[1].printed, other_process);
}

TEST(trial_records, readings_and_corrections_are_kept_apart_by_process) {
    const TemporaryFolder folder;
    const fs::path file = folder.path() / "ledger.sqlite";
    TrialRecords records(file);
    const std::int64_t wide = made_sheet(records, metal);
    const std::int64_t desk = made_sheet(records, other_process);
    const auto correction = [](const Printed& printed, const char* text) {
        return CorrectionRow{0, "2026-03-15T00:00:00Z", printed, text};
    };
    EXPECT_EQ(records.add_reading({0, wide, "2026-03-15T00:00:00Z", "E"}, correction(metal, "first")), 1);
    EXPECT_EQ(records.add_reading({0, wide, "2026-03-16T00:00:00Z", "F"}, correction(metal, "second")), 2);
    EXPECT_EQ(records.add_reading({0, desk, "2026-03-17T00:00:00Z", "A"}, correction(other_process, "third")), 3);

    const TrialRecords again(file, Access::look);
    ASSERT_THAT(again.readings(metal), SizeIs(2));
    EXPECT_EQ(again.readings(metal)[1].text, "F");
    EXPECT_EQ(again.readings(metal)[1].sheet, wide);
    ASSERT_THAT(again.readings(other_process), SizeIs(1));
    EXPECT_EQ(again.latest_correction(metal)->text, "second");
    EXPECT_EQ(again.latest_correction(other_process)->id, 3);
    EXPECT_EQ(again.correction(1)->text, "first");
    EXPECT_FALSE(again.correction(9));
    EXPECT_FALSE(again.latest_correction({"quillfen", "canvas", ""}));
    EXPECT_THAT(again.sheets(metal), SizeIs(1));
}

TEST(trial_records, looking_at_a_missing_or_older_ledger_finds_none_and_writes_nothing) {
    const TemporaryFolder folder;
    const TrialRecords missing(folder.path() / "ledger.sqlite", Access::look);
    EXPECT_THAT(missing.sheets(metal), IsEmpty());
    EXPECT_FALSE(missing.latest_correction(metal));
    EXPECT_FALSE(fs::exists(folder.path() / "ledger.sqlite"));

    const fs::path older = folder.path() / "older.sqlite";
    fs::copy_file(fs::path(HANGTRUE_SOURCE_DIR) / "tests/data/ledger/version-1.sqlite", older);
    TrialRecords looking(older, Access::look);
    EXPECT_THAT(looking.readings(metal), IsEmpty());
    EXPECT_FALSE(looking.correction(1));
    EXPECT_THROW(looking.reserved_sheet(some_sheet(metal)), base::LedgerFailed);
    // The same ledger opened to write has the tables.
    TrialRecords writing(older);
    EXPECT_EQ(made_sheet(writing, metal), 1);
}

}  // namespace
}  // namespace hangtrue::ledger
