// SPDX-License-Identifier: Apache-2.0
// Ledgers of earlier formats, kept in tests/data/ledger, and opening a ledger only to look.

#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/ledger/ledger.h"
#include "tests/ledger/support.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::ledger {
namespace {

namespace fs = std::filesystem;
using support::TemporaryFolder;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

std::string content_of(const fs::path& file) { return base::read_whole_file(file, 100'000'000); }

/// A copy of the kept ledger, to be written to.
fs::path kept_version(int version, const fs::path& folder) {
    const fs::path file = folder / "ledger.sqlite";
    fs::copy_file(
        fs::path(HANGTRUE_SOURCE_DIR) / "tests/data/ledger" / ("version-" + std::to_string(version) + ".sqlite"), file);
    fs::permissions(file, fs::perms::owner_read | fs::perms::owner_write);
    return file;
}

int format_of(const fs::path& file) {
    return SQLite::Database(file.string(), SQLite::OPEN_READONLY).execAndGet("PRAGMA user_version").getInt();
}

/// The hash of the first record's file, as sha256sum said it when the ledger was made.
base::Sha256 first_file_hash() {
    return *base::Sha256::from_hex("6bb548889c079ebe3374dd19a2cf281e3e1d9331cd6bb3e7d6defcd0c59a357a");
}

TEST(ledger_schema, a_ledger_of_format_1_is_brought_to_format_3_with_all_its_records) {
    const TemporaryFolder folder;
    const fs::path file = kept_version(1, folder.path());
    ASSERT_EQ(format_of(file), 1);
    {
        Ledger ledger(file);
        const std::vector<Row> rows = ledger.rows();
        ASSERT_THAT(rows, SizeIs(2));
        EXPECT_EQ(rows[0].file_path, "/srv/prints/out/lake 3x2in plain-paper.jpg");
        EXPECT_EQ(rows[0].jpeg_quality, 100);
        const auto first = ledger.row(1);
        ASSERT_TRUE(first);
        EXPECT_EQ(first->file_hash, first_file_hash());
        EXPECT_EQ(first->bytes, 132'356);
        EXPECT_THAT(first->fingerprint, SizeIs(3 * 2 * 3));  // 180 x 120 px: 3 x 2 blocks of 64 px, R G B
        EXPECT_THAT(first->plan_text, HasSubstr("format = 1"));
        // The one profile that was used: the built-in sRGB.
        const auto profile_hash = base::Sha256::from_hex(
            SQLite::Database(file.string()).execAndGet("SELECT lower(hex(hash)) FROM profile").getString());
        const auto profile = ledger.profile(*profile_hash);
        ASSERT_TRUE(profile);
        EXPECT_EQ(base::sha256(*profile), *profile_hash);
        EXPECT_THAT(ledger.picture_places(first->picture_content), ElementsAre("/srv/prints/ridge.png"));
        EXPECT_TRUE(ledger.measured(first->picture_content, 1));
        EXPECT_EQ(ledger.row_of_content(first_file_hash())->id, 1);
        EXPECT_EQ(ledger.note_intention(some_row()), 3);  // numbers go on
    }
    EXPECT_EQ(format_of(file), 3);
    EXPECT_EQ(SQLite::Database(file.string(), SQLite::OPEN_READONLY).execAndGet("PRAGMA integrity_check").getString(),
              "ok");
}

TEST(ledger_schema, a_ledger_of_format_2_is_brought_to_format_3_with_all_its_records_and_room_for_trials) {
    const TemporaryFolder folder;
    const fs::path file = kept_version(2, folder.path());
    ASSERT_EQ(format_of(file), 2);
    {
        Ledger ledger(file);
        ASSERT_THAT(ledger.rows(), SizeIs(2));
        const Row newest = ledger.rows().front();
        EXPECT_EQ(newest.file_path, "/srv/prints/out/dune 12x8in brushed-metal.tif");
        EXPECT_EQ(newest.bytes, 13'655'564);
        // As sha256sum said it when the ledger was made.
        EXPECT_EQ(newest.file_hash,
                  base::Sha256::from_hex("d45af1ba2dae2ad2e23efdccf149513db623e1950da89484e1ba31f9aea05802"));
        EXPECT_TRUE(ledger.measured(newest.picture_content, 2));
        EXPECT_FALSE(ledger.trial(newest.picture_content, hash_of("network"), 1));
        ledger.keep_trial(newest.picture_content, hash_of("network"), 1, "soft");
        EXPECT_EQ(ledger.trial(newest.picture_content, hash_of("network"), 1), "soft");
    }
    EXPECT_EQ(format_of(file), 3);
}

TEST(ledger_trial, is_kept_by_picture_network_and_version) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    ledger.keep_trial(hash_of("picture"), hash_of("network"), 1, "crisp");
    ledger.keep_trial(hash_of("picture"), hash_of("other network"), 1, "soft");
    ledger.keep_trial(hash_of("picture"), hash_of("network"), 2, "softer");
    EXPECT_EQ(ledger.trial(hash_of("picture"), hash_of("network"), 1), "crisp");
    EXPECT_EQ(ledger.trial(hash_of("picture"), hash_of("other network"), 1), "soft");
    EXPECT_EQ(ledger.trial(hash_of("picture"), hash_of("network"), 2), "softer");
    EXPECT_FALSE(ledger.trial(hash_of("other picture"), hash_of("network"), 1));
    ledger.keep_trial(hash_of("picture"), hash_of("network"), 1, "as it is now");
    EXPECT_EQ(ledger.trial(hash_of("picture"), hash_of("network"), 1), "as it is now");
}

TEST(ledger_schema, a_search_by_content_or_picture_walks_an_index_and_not_the_rows) {
    const TemporaryFolder folder;
    const fs::path file = folder.path() / "ledger.sqlite";
    { const Ledger ledger(file); }
    SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    for (const char* column : {"file_hash", "picture_content"}) {
        SQLite::Statement plan(database, std::string("EXPLAIN QUERY PLAN SELECT id FROM made WHERE state = 1 AND ") +
                                             column + " = ? ORDER BY id DESC LIMIT 1");
        ASSERT_TRUE(plan.executeStep());
        EXPECT_THAT(plan.getColumn(3).getString(), HasSubstr("USING INDEX made_by_")) << column;
    }
}

TEST(ledger_schema, rows_are_found_by_their_files_content_and_by_their_picture_newest_first) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    for (const int number : {1, 2, 1}) ledger.record(ledger.note_intention(some_row(number)));
    ledger.note_intention(some_row(1));  // an intention is no row
    EXPECT_EQ(ledger.row_of_content(hash_of("file1"))->id, 3);
    EXPECT_EQ(ledger.row_of_content(hash_of("file2"))->id, 2);
    EXPECT_FALSE(ledger.row_of_content(hash_of("file3")));
    const std::vector<Row> made = ledger.rows_of_picture(hash_of("picture1"));
    ASSERT_THAT(made, SizeIs(2));
    EXPECT_EQ(made[0].id, 3);
    EXPECT_EQ(made[1].id, 1);
    EXPECT_THAT(ledger.rows_of_picture(hash_of("picture3")), IsEmpty());
}

TEST(ledger_look, a_missing_ledger_is_an_empty_one_and_stays_missing) {
    const TemporaryFolder folder;
    const fs::path file = folder.path() / "data" / "ledger.sqlite";
    const Ledger ledger(file, Access::look);
    EXPECT_THAT(ledger.rows(), IsEmpty());
    EXPECT_FALSE(ledger.row_of_content(hash_of("file1")));
    EXPECT_FALSE(fs::exists(folder.path() / "data"));
}

TEST(ledger_look, leaves_every_byte_and_the_format_of_an_older_ledger_and_refuses_to_write) {
    const TemporaryFolder folder;
    const fs::path file = kept_version(1, folder.path());
    const std::string before = content_of(file);
    {
        Ledger ledger(file, Access::look);
        EXPECT_THAT(ledger.rows(), SizeIs(2));
        EXPECT_EQ(ledger.row_of_content(first_file_hash())->id, 1);
        EXPECT_THROW(ledger.note_intention(some_row()), base::LedgerFailed);
        EXPECT_THROW(ledger.keep_measured(hash_of("picture"), 1, "x"), base::LedgerFailed);
        EXPECT_FALSE(ledger.trial(hash_of("picture"), hash_of("network"), 1));
    }
    EXPECT_TRUE(content_of(file) == before);
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), {}), 1);
}

TEST(ledger_look, a_newer_ledger_is_refused_and_left_as_it_is) {
    const TemporaryFolder folder;
    const fs::path file = folder.path() / "ledger.sqlite";
    { const Ledger ledger(file); }
    SQLite::Database(file.string(), SQLite::OPEN_READWRITE).exec("PRAGMA user_version = 4");
    const std::string before = content_of(file);
    try {
        const Ledger ledger(file, Access::look);
        FAIL() << "opened";
    } catch (const base::LedgerFailed& error) {
        EXPECT_THAT(error.what(),
                    HasSubstr("newer version of this program (ledger format 4, this version knows up to 3)"));
    }
    EXPECT_TRUE(content_of(file) == before);
}

TEST(ledger_schema, an_older_ledger_that_may_not_be_written_can_be_read) {
    const TemporaryFolder folder;
    const fs::path file = kept_version(1, folder.path());
    fs::permissions(file, fs::perms{0444});
    fs::permissions(folder.path(), fs::perms{0555});
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
        // Root may write everything: become somebody else (65534 is "nobody").
        int status = 1;
        try {
            if (::getuid() != 0 || ::setuid(65534) == 0) status = Ledger(file).rows().size() == 2 ? 42 : 2;
        } catch (const std::exception&) {
            status = 3;
        }
        ::_exit(status);
    }
    int state = 0;
    ::waitpid(child, &state, 0);
    EXPECT_TRUE(WIFEXITED(state) && WEXITSTATUS(state) == 42) << WEXITSTATUS(state);
    fs::permissions(folder.path(), fs::perms{0755});
}

}  // namespace
}  // namespace hangtrue::ledger
