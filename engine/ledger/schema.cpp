// SPDX-License-Identifier: Apache-2.0
#include "engine/ledger/schema.h"

#include <SQLiteCpp/Column.h>
#include <SQLiteCpp/Transaction.h>
#include <sqlite3.h>

#include <array>
#include <string>

#include "engine/base/error.h"

namespace hangtrue::ledger {
namespace {

// Step n leads from version n to version n + 1.
//
// Blobs: hashes as their 32 bytes; `samples` 16 bytes, low half first; `fingerprint` 16-bit values; all little-endian.
// Rows are never deleted: `state` says whether a row of `made` is an intention (0), a made file (1) or an intention
// that came to nothing (2). AUTOINCREMENT keeps a number that stands on a ticket from being given twice.
// The fingerprint is the last column, so that lists do not walk through its pages.
constexpr std::array<const char*, newest_schema> steps = {
    R"sql(
    CREATE TABLE made (
        id              INTEGER PRIMARY KEY AUTOINCREMENT,
        state           INTEGER NOT NULL,
        made_at         TEXT NOT NULL,
        picture_path    TEXT NOT NULL,
        picture_content BLOB NOT NULL,
        picture_name    TEXT NOT NULL,
        shop            TEXT NOT NULL,
        medium          TEXT NOT NULL,
        size_name       TEXT NOT NULL,
        quantity        INTEGER NOT NULL,
        file_path       TEXT NOT NULL,
        bytes           INTEGER NOT NULL,
        file_hash       BLOB NOT NULL,
        samples         BLOB NOT NULL,
        jpeg_quality    INTEGER NOT NULL,
        program_version TEXT NOT NULL,
        plan_text       TEXT NOT NULL,
        fingerprint     BLOB NOT NULL
    );
    CREATE INDEX made_by_file ON made (file_path);
    CREATE INDEX made_open ON made (state) WHERE state = 0;

    CREATE TABLE profile (
        hash  BLOB PRIMARY KEY,
        bytes BLOB NOT NULL
    );
    CREATE TABLE measured (
        picture BLOB NOT NULL,
        version INTEGER NOT NULL,
        text    TEXT NOT NULL,
        PRIMARY KEY (picture, version)
    );
    CREATE TABLE picture_place (
        picture BLOB NOT NULL,
        place   TEXT NOT NULL,
        seen    INTEGER NOT NULL,
        PRIMARY KEY (picture, place)
    );
    )sql",
    // A print file that has moved is found by its content, what was made of a picture by the picture's.
    R"sql(
    CREATE INDEX made_by_content ON made (file_hash);
    CREATE INDEX made_by_picture ON made (picture_content);
    )sql",
    // Test sheets, what was read from them, and the corrections learned; `made` is 0 until the file has its name. And
    // what a network was found to make of a picture.
    R"sql(
    CREATE TABLE test_sheet (
        number  INTEGER PRIMARY KEY AUTOINCREMENT,
        made_at TEXT NOT NULL,
        shop    TEXT NOT NULL,
        medium  TEXT NOT NULL,
        process TEXT NOT NULL,
        picture BLOB NOT NULL,
        made    INTEGER NOT NULL,
        text    TEXT NOT NULL
    );
    CREATE INDEX test_sheet_by_medium ON test_sheet (shop, medium, process);
    CREATE TABLE reading (
        id       INTEGER PRIMARY KEY AUTOINCREMENT,
        sheet    INTEGER NOT NULL,
        taken_at TEXT NOT NULL,
        text     TEXT NOT NULL
    );
    CREATE INDEX reading_by_sheet ON reading (sheet);
    CREATE TABLE correction (
        id         INTEGER PRIMARY KEY AUTOINCREMENT,
        learned_at TEXT NOT NULL,
        shop       TEXT NOT NULL,
        medium     TEXT NOT NULL,
        process    TEXT NOT NULL,
        text       TEXT NOT NULL
    );
    CREATE INDEX correction_by_medium ON correction (shop, medium, process);

    CREATE TABLE network_trial (
        picture BLOB NOT NULL,
        network BLOB NOT NULL,
        version INTEGER NOT NULL,
        text    TEXT NOT NULL,
        PRIMARY KEY (picture, network, version)
    );
    )sql",
};

void refuse_strangers(SQLite::Database& database, const std::filesystem::path& file) {
    // All three of one moment: another process may be beginning this ledger.
    SQLite::Transaction reading(database);
    const int owner = database.execAndGet("PRAGMA application_id").getInt();
    const int version = version_of(database);
    const bool empty = database.execAndGet("SELECT count(*) FROM sqlite_master").getInt() == 0;
    reading.commit();
    if (empty && owner == 0 && version == 0) return;
    if (owner != ledger_application_id) {
        throw base::LedgerFailed(file.string() +
                                 " is an SQLite file, but not a ledger of this program. Choose another data folder "
                                 "with --data, or move that file away.");
    }
    if (version > newest_schema) {
        throw base::LedgerFailed("The ledger " + file.string() + " was written by a newer version of this program (" +
                                 "ledger format " + std::to_string(version) + ", this version knows up to " +
                                 std::to_string(newest_schema) + "). Nothing was changed. Use the newer program.");
    }
    if (version < 1 || empty) {
        throw base::LedgerFailed("The ledger " + file.string() +
                                 " is damaged: its tables are missing. Put a backup copy in its place, or move it "
                                 "away and a new one is begun.");
    }
}

}  // namespace

int version_of(SQLite::Database& database) { return database.execAndGet("PRAGMA user_version").getInt(); }

void require_readable(SQLite::Database& database, const std::filesystem::path& file) {
    refuse_strangers(database, file);
    if (version_of(database) < oldest_readable_schema) {
        throw base::LedgerFailed("The ledger " + file.string() +
                                 " is of an older format and has not been brought up to date yet: list it with "
                                 "`hangtrue ledger list`, then try again.");
    }
}

void bring_up_to_date(SQLite::Database& database, const std::filesystem::path& file) {
    refuse_strangers(database, file);
    const int found = version_of(database);
    if (found == newest_schema) return;
    if (found >= oldest_readable_schema && sqlite3_db_readonly(database.getHandle(), "main") == 1) return;
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    // Another process may have walked the steps while this one waited for the lock.
    const int version = version_of(database);
    for (int step = version; step < newest_schema; ++step) database.exec(steps.at(static_cast<std::size_t>(step)));
    database.exec("PRAGMA application_id = " + std::to_string(ledger_application_id));
    database.exec("PRAGMA user_version = " + std::to_string(newest_schema));
    transaction.commit();
}

}  // namespace hangtrue::ledger
