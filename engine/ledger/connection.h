// SPDX-License-Identifier: Apache-2.0
#pragma once

/// One open ledger file, its tables up to date, and the border to SQLite. Private to engine/ledger.

#include <SQLiteCpp/Column.h>
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Exception.h>
#include <SQLiteCpp/Statement.h>

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/hash.h"
#include "engine/ledger/ledger.h"

namespace hangtrue::ledger {

base::LedgerFailed damaged(const std::filesystem::path& file, const std::string& detail);
base::LedgerFailed failed(const std::filesystem::path& file, int code, const std::string& detail);

/// What SQLite throws becomes a sentence about `file`.
template <typename Work>
auto translated(const std::filesystem::path& file, Work&& work) {
    try {
        return work();
    } catch (const SQLite::Exception& error) {
        throw failed(file, error.getErrorCode(), error.what());
    }
}

/// The folder with its links followed, so that one file has one name however it was reached; the file's own name stays.
std::string stored_path(const std::filesystem::path& path);

/// An empty blob is stored as a blob of no bytes: a null pointer would be stored as NULL.
void bind_blob(SQLite::Statement& statement, int index, std::span<const std::uint8_t> bytes);
void bind_hash(SQLite::Statement& statement, int index, const base::Sha256& hash);
std::span<const std::uint8_t> bytes_of(const SQLite::Column& column);
base::Sha256 hash_in(const SQLite::Column& column, const std::filesystem::path& file);

struct Connection {
    std::filesystem::path file;
    // A statement of a const member function changes the connection, not the records.
    mutable SQLite::Database database;
    int schema = 0;  ///< Of the file; a ledger that is looked at may be older than the newest.

    /// Asks for the tables and columns that `required` (SELECT statements) name. Throws LedgerFailed.
    Connection(const std::filesystem::path& name, Access access, std::span<const char* const> required);
};

}  // namespace hangtrue::ledger
