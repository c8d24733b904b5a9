// SPDX-License-Identifier: Apache-2.0
#include "engine/ledger/connection.h"

#include <sqlite3.h>

#include <algorithm>
#include <system_error>

#include "engine/ledger/schema.h"

namespace hangtrue::ledger {
namespace {

namespace fs = std::filesystem;

/// How long another process may hold the file: its transactions are single rows, so a long wait means a hang.
constexpr int busy_timeout_ms = 10'000;

constexpr const char* in_memory = ":memory:";

bool is_in_memory(const SQLite::Database& database) { return database.getFilename() == in_memory; }

SQLite::Database opened(const fs::path& file, Access access) {
    std::error_code status;
    if (fs::is_directory(file, status)) {
        throw base::LedgerFailed(file.string() +
                                 " is a folder; the ledger is a file. Choose another data folder "
                                 "with --data, or move that folder away.");
    }
    if (access == Access::look) {
        const bool has_something = fs::exists(file, status) && fs::file_size(file, status) > 0;
        if (!has_something) return SQLite::Database(in_memory, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
        return SQLite::Database(file.string(), SQLite::OPEN_READWRITE, busy_timeout_ms);
    }
    fs::create_directories(file.parent_path(), status);
    if (status && !fs::is_directory(file.parent_path())) {
        throw base::LedgerFailed("The folder " + file.parent_path().string() + " for the ledger cannot be made: " +
                                 status.message() + ". Choose another data folder with --data.");
    }
    return SQLite::Database(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE, busy_timeout_ms);
}

}  // namespace

base::LedgerFailed damaged(const fs::path& file, const std::string& detail) {
    return base::LedgerFailed("The ledger " + file.string() + " is damaged (" + detail +
                              "). Put a backup copy in its place, or move it away and a new one is begun; the print "
                              "files themselves are not touched.");
}

base::LedgerFailed failed(const fs::path& file, int code, const std::string& detail) {
    const std::string ledger = "The ledger " + file.string();
    switch (code & 0xff) {  // The low byte is the primary result code (sqlite.org/rescode.html).
        case SQLITE_CORRUPT:
        case SQLITE_NOTADB: return damaged(file, detail);
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return base::LedgerFailed(ledger + " is being used by another program. Close it, then try again.");
        case SQLITE_FULL:
            return base::LedgerFailed(ledger + " cannot grow: its disk is full. Make room there, then try again.");
        case SQLITE_READONLY:
        case SQLITE_PERM:
        case SQLITE_AUTH:
        case SQLITE_CANTOPEN:
            return base::LedgerFailed(ledger + " cannot be opened for writing (" + detail +
                                      "). Look at the permissions of the file and its folder, or choose another data "
                                      "folder with --data.");
        case SQLITE_IOERR:
            return base::LedgerFailed(ledger + " cannot be read or written (" + detail +
                                      "). Is its drive still connected, and is there room on it?");
        default: return base::LedgerFailed(ledger + " cannot be used (" + detail + ").");
    }
}

std::string stored_path(const fs::path& path) {
    std::error_code status;
    const fs::path whole = fs::absolute(path, status).lexically_normal();
    if (status || whole.empty()) return path.string();
    const fs::path folder = fs::weakly_canonical(whole.parent_path(), status);
    return status ? whole.string() : (folder / whole.filename()).string();
}

void bind_blob(SQLite::Statement& statement, int index, std::span<const std::uint8_t> bytes) {
    static const std::uint8_t nothing = 0;
    statement.bind(index, bytes.empty() ? &nothing : bytes.data(), static_cast<int>(bytes.size()));
}

void bind_hash(SQLite::Statement& statement, int index, const base::Sha256& hash) {
    bind_blob(statement, index, hash.bytes);
}

std::span<const std::uint8_t> bytes_of(const SQLite::Column& column) {
    const auto* const data = static_cast<const std::uint8_t*>(column.getBlob());
    return {data, data == nullptr ? 0 : static_cast<std::size_t>(column.getBytes())};
}

base::Sha256 hash_in(const SQLite::Column& column, const fs::path& file) {
    const auto bytes = bytes_of(column);
    base::Sha256 hash;
    if (bytes.size() != hash.bytes.size()) throw damaged(file, "a checksum has a wrong length");
    std::copy(bytes.begin(), bytes.end(), hash.bytes.begin());
    return hash;
}

Connection::Connection(const fs::path& name, Access access, std::span<const char* const> required)
    : file(stored_path(name)), database(translated(file, [&] { return opened(file, access); })) {
    translated(file, [&] {
        // A rollback journal, not WAL: the ledger stays one file that may be copied and that works on a network
        // drive. EXTRA is FULL and also syncs the folder once the journal is gone, so that a power cut
        // cannot bring the journal back and undo a record whose print file already has its name.
        database.exec("PRAGMA synchronous = EXTRA");
        // The file may have been tampered with or damaged: check cells, and let the schema call no functions.
        database.exec("PRAGMA cell_size_check = ON; PRAGMA trusted_schema = OFF");
        if (access == Access::look && !is_in_memory(database)) {
            // Not opened read-only: what a kill left half done must be undone before it can be read.
            database.exec("PRAGMA query_only = ON");
            require_readable(database, file);
            return;
        }
        bring_up_to_date(database, file);
        if (is_in_memory(database)) return;
        if (database.execAndGet("PRAGMA journal_mode").getString() != "delete") {
            database.exec("PRAGMA journal_mode = DELETE");
        }
    });
    schema = translated(file, [&] { return version_of(database); });
    try {
        // Without looking at the records: opening stays quick however many there are.
        for (const char* select : required) SQLite::Statement(database, select);
    } catch (const SQLite::Exception& error) {
        if (error.getErrorCode() == SQLITE_ERROR) throw damaged(file, error.what());
        throw failed(file, error.getErrorCode(), error.what());
    }
}

}  // namespace hangtrue::ledger
