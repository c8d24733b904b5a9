// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ledger's tables and the steps between their versions. Private to engine/ledger.
///
/// PRAGMA user_version holds the version, PRAGMA application_id says whose file it is. A new version adds one step
/// at the end of the list and touches no earlier one.

#include <SQLiteCpp/Database.h>

#include <filesystem>

namespace hangtrue::ledger {

inline constexpr int newest_schema = 3;

/// Before it there are no tables of test sheets, nor of trials of networks.
inline constexpr int first_schema_with_trials = 3;

/// Versions from here on differ from the newest in indexes and in tables that they lack, so that they can be read as
/// they are.
inline constexpr int oldest_readable_schema = 1;

/// "Hang": SQLite's place for saying which program an SQLite file belongs to (file format 2, section 1.3.17).
inline constexpr int ledger_application_id = 0x48616e67;

/// Makes the tables of an empty database, or walks an older one up, in one transaction: a kill leaves the old version
/// or the new one. Throws LedgerFailed for a newer version, for another program's file and for one whose tables are
/// missing; SQLite::Exception for the rest. `file` is named in messages.
void bring_up_to_date(SQLite::Database& database, const std::filesystem::path& file);

int version_of(SQLite::Database& database);

/// The same refusals, and nothing written: of `database` as it stands. An older version than `oldest_readable_schema`
/// is refused too.
void require_readable(SQLite::Database& database, const std::filesystem::path& file);

}  // namespace hangtrue::ledger
