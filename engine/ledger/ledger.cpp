// SPDX-License-Identifier: Apache-2.0
#include "engine/ledger/ledger.h"

#include <algorithm>
#include <array>
#include <functional>

#include "engine/base/error.h"
#include "engine/ledger/connection.h"
#include "engine/ledger/schema.h"

namespace hangtrue::ledger {
namespace {

namespace fs = std::filesystem;

enum RowState { intended = 0, made = 1, dropped = 2 };

using Blob = std::vector<std::uint8_t>;

Blob blob_of(const base::Digest& digest) {
    Blob bytes(16);
    for (std::size_t i = 0; i < 8; ++i) {
        bytes[i] = static_cast<std::uint8_t>(digest.low >> (8 * i));
        bytes[8 + i] = static_cast<std::uint8_t>(digest.high >> (8 * i));
    }
    return bytes;
}

Blob blob_of(std::span<const std::uint16_t> values) {
    Blob bytes;
    bytes.reserve(values.size() * 2);
    for (const std::uint16_t value : values) {
        bytes.push_back(static_cast<std::uint8_t>(value & 0xff));
        bytes.push_back(static_cast<std::uint8_t>(value >> 8));
    }
    return bytes;
}

base::Digest digest_in(const SQLite::Column& column, const fs::path& file) {
    const auto bytes = bytes_of(column);
    if (bytes.size() != 16) throw damaged(file, "a digest has a wrong length");
    base::Digest digest;
    for (std::size_t i = 0; i < 8; ++i) {
        digest.low |= std::uint64_t{bytes[i]} << (8 * i);
        digest.high |= std::uint64_t{bytes[8 + i]} << (8 * i);
    }
    return digest;
}

std::vector<std::uint16_t> fingerprint_in(const SQLite::Column& column, const fs::path& file) {
    const auto bytes = bytes_of(column);
    if (bytes.size() % 2 != 0) throw damaged(file, "a fingerprint has a wrong length");
    std::vector<std::uint16_t> values(bytes.size() / 2);
    for (std::size_t i = 0; i < values.size(); ++i) {
        values[i] = static_cast<std::uint16_t>(bytes[2 * i] | (bytes[2 * i + 1] << 8));
    }
    return values;
}

constexpr const char* row_columns =
    "id, made_at, picture_path, picture_content, picture_name, shop, medium, size_name, quantity, file_path, bytes, "
    "file_hash, samples, jpeg_quality, program_version, plan_text";

Row row_in(SQLite::Statement& statement, const fs::path& file) {
    Row row;
    int column = 0;
    row.id = statement.getColumn(column++).getInt64();
    row.made_at = statement.getColumn(column++).getString();
    row.picture_path = statement.getColumn(column++).getString();
    row.picture_content = hash_in(statement.getColumn(column++), file);
    row.picture_name = statement.getColumn(column++).getString();
    row.shop = statement.getColumn(column++).getString();
    row.medium = statement.getColumn(column++).getString();
    row.size_name = statement.getColumn(column++).getString();
    row.quantity = statement.getColumn(column++).getInt();
    row.file_path = statement.getColumn(column++).getString();
    row.bytes = statement.getColumn(column++).getInt64();
    row.file_hash = hash_in(statement.getColumn(column++), file);
    row.samples = digest_in(statement.getColumn(column++), file);
    row.jpeg_quality = statement.getColumn(column++).getInt();
    row.program_version = statement.getColumn(column++).getString();
    row.plan_text = statement.getColumn(column++).getString();
    if (column < statement.getColumnCount()) row.fingerprint = fingerprint_in(statement.getColumn(column), file);
    return row;
}

/// `search` as a LIKE pattern that finds it anywhere, its own wildcards taken literally.
std::string pattern_for(std::string_view search) {
    std::string pattern = "%";
    for (const char letter : search) {
        if (letter == '%' || letter == '_' || letter == '\\') pattern += '\\';
        pattern += letter;
    }
    return pattern + "%";
}

constexpr std::array required{
    "SELECT id, made_at, picture_path, picture_content, picture_name, shop, medium, size_name, quantity, file_path, "
    "bytes, file_hash, samples, jpeg_quality, program_version, plan_text, state, fingerprint FROM made",
    "SELECT hash, bytes FROM profile", "SELECT picture, version, text FROM measured",
    "SELECT picture, place, seen FROM picture_place"};

}  // namespace

struct Ledger::State : Connection {
    State(const fs::path& name, Access access) : Connection(name, access, required) {}

    /// Not of an older format that is only looked at.
    bool has_network_trials = schema >= first_schema_with_trials;

    std::vector<Row> rows_where(const std::string& condition, bool with_fingerprint,
                                const std::function<void(SQLite::Statement&)>& bind) const {
        return translated(file, [&] {
            SQLite::Statement statement(database, std::string("SELECT ") + row_columns +
                                                      (with_fingerprint ? ", fingerprint" : "") + " FROM made WHERE " +
                                                      condition);
            bind(statement);
            std::vector<Row> rows;
            while (statement.executeStep()) rows.push_back(row_in(statement, file));
            return rows;
        });
    }

    /// The number of rows changed.
    int set_state(std::int64_t id, RowState state, const std::string& condition) {
        return translated(file, [&] {
            SQLite::Statement statement(database, "UPDATE made SET state = ? WHERE id = ? AND " + condition);
            statement.bind(1, static_cast<int>(state));
            statement.bind(2, id);
            return statement.exec();
        });
    }
};

Ledger::Ledger(const fs::path& file, Access access) : m_state(std::make_unique<State>(file, access)) {}
Ledger::~Ledger() = default;

std::int64_t Ledger::note_intention(const Row& row) {
    return translated(m_state->file, [&] {
        SQLite::Statement statement(
            m_state->database,
            "INSERT INTO made (state, made_at, picture_path, picture_content, picture_name, shop, medium, size_name, "
            "quantity, file_path, bytes, file_hash, samples, jpeg_quality, program_version, plan_text, fingerprint) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id");
        int index = 1;
        statement.bind(index++, static_cast<int>(intended));
        statement.bind(index++, row.made_at);
        statement.bind(index++, stored_path(row.picture_path));
        bind_hash(statement, index++, row.picture_content);
        statement.bind(index++, row.picture_name);
        statement.bind(index++, row.shop);
        statement.bind(index++, row.medium);
        statement.bind(index++, row.size_name);
        statement.bind(index++, row.quantity);
        statement.bind(index++, stored_path(row.file_path));
        statement.bind(index++, row.bytes);
        bind_hash(statement, index++, row.file_hash);
        bind_blob(statement, index++, blob_of(row.samples));
        statement.bind(index++, row.jpeg_quality);
        statement.bind(index++, row.program_version);
        statement.bind(index++, row.plan_text);
        bind_blob(statement, index, blob_of(row.fingerprint));
        statement.executeStep();
        const std::int64_t id = statement.getColumn(0).getInt64();
        // The row is in the file only once the statement is done.
        statement.executeStep();
        return id;
    });
}

void Ledger::record(std::int64_t id) {
    // Also from "dropped": another process may have taken this intention for one left by a kill, before the file got
    // its name. What stands on the disk decides.
    if (m_state->set_state(id, made, "TRUE") == 0) {
        throw base::LedgerFailed("The ledger " + m_state->file.string() + " has no entry " + std::to_string(id) +
                                 ". It was exchanged while the print was being made.");
    }
}

void Ledger::drop_intention(std::int64_t id) { m_state->set_state(id, dropped, "state = " + std::to_string(intended)); }

std::vector<Row> Ledger::open_intentions() const {
    return m_state->rows_where("state = 0 ORDER BY id", /*with_fingerprint=*/true, [](SQLite::Statement&) {});
}

std::optional<Row> Ledger::row(std::int64_t id) const {
    auto rows = m_state->rows_where("state = 1 AND id = ?", /*with_fingerprint=*/true,
                                    [&](SQLite::Statement& statement) { statement.bind(1, id); });
    if (rows.empty()) return std::nullopt;
    return std::move(rows.front());
}

std::vector<Row> Ledger::rows(std::string_view search, int most) const {
    return m_state->rows_where(
        "state = 1 AND (picture_name LIKE ?1 ESCAPE '\\' OR shop LIKE ?1 ESCAPE '\\' OR medium LIKE ?1 ESCAPE '\\' "
        "OR size_name LIKE ?1 ESCAPE '\\') ORDER BY id DESC LIMIT ?2",
        /*with_fingerprint=*/false, [&](SQLite::Statement& statement) {
            statement.bind(1, pattern_for(search));
            statement.bind(2, std::max(most, 0));
        });
}

std::optional<Row> Ledger::row_of_file(const fs::path& file) const {
    auto rows = m_state->rows_where("state = 1 AND file_path = ? ORDER BY id DESC LIMIT 1", /*with_fingerprint=*/true,
                                    [&](SQLite::Statement& statement) { statement.bind(1, stored_path(file)); });
    if (rows.empty()) return std::nullopt;
    return std::move(rows.front());
}

std::optional<Row> Ledger::row_of_content(const base::Sha256& file_hash) const {
    auto rows = m_state->rows_where("state = 1 AND file_hash = ? ORDER BY id DESC LIMIT 1", /*with_fingerprint=*/true,
                                    [&](SQLite::Statement& statement) { bind_hash(statement, 1, file_hash); });
    if (rows.empty()) return std::nullopt;
    return std::move(rows.front());
}

std::vector<Row> Ledger::rows_of_picture(const base::Sha256& picture) const {
    return m_state->rows_where("state = 1 AND picture_content = ? ORDER BY id DESC", /*with_fingerprint=*/false,
                               [&](SQLite::Statement& statement) { bind_hash(statement, 1, picture); });
}

void Ledger::keep_profile(const base::Sha256& hash, std::span<const std::byte> bytes) {
    translated(m_state->file, [&] {
        SQLite::Statement statement(m_state->database,
                                    "INSERT INTO profile (hash, bytes) VALUES (?, ?) ON CONFLICT DO NOTHING");
        bind_hash(statement, 1, hash);
        bind_blob(statement, 2, {reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
        statement.exec();
    });
}

std::optional<std::vector<std::byte>> Ledger::profile(const base::Sha256& hash) const {
    return translated(m_state->file, [&]() -> std::optional<std::vector<std::byte>> {
        SQLite::Statement statement(m_state->database, "SELECT bytes FROM profile WHERE hash = ?");
        bind_hash(statement, 1, hash);
        if (!statement.executeStep()) return std::nullopt;
        const auto bytes = std::as_bytes(bytes_of(statement.getColumn(0)));
        return std::vector<std::byte>(bytes.begin(), bytes.end());
    });
}

void Ledger::keep_measured(const base::Sha256& picture, int version, std::string_view text) {
    translated(m_state->file, [&] {
        SQLite::Statement statement(m_state->database,
                                    "INSERT INTO measured (picture, version, text) VALUES (?, ?, ?) ON CONFLICT DO "
                                    "UPDATE SET text = excluded.text WHERE text <> excluded.text");
        bind_hash(statement, 1, picture);
        statement.bind(2, version);
        statement.bind(3, std::string(text));
        statement.exec();
    });
}

std::optional<std::string> Ledger::measured(const base::Sha256& picture, int version) const {
    return translated(m_state->file, [&]() -> std::optional<std::string> {
        SQLite::Statement statement(m_state->database, "SELECT text FROM measured WHERE picture = ? AND version = ?");
        bind_hash(statement, 1, picture);
        statement.bind(2, version);
        if (!statement.executeStep()) return std::nullopt;
        return statement.getColumn(0).getString();
    });
}

void Ledger::keep_trial(const base::Sha256& picture, const base::Sha256& network, int version, std::string_view text) {
    translated(m_state->file, [&] {
        SQLite::Statement statement(
            m_state->database,
            "INSERT INTO network_trial (picture, network, version, text) VALUES (?, ?, ?, ?) ON "
            "CONFLICT DO UPDATE SET text = excluded.text WHERE text <> excluded.text");
        bind_hash(statement, 1, picture);
        bind_hash(statement, 2, network);
        statement.bind(3, version);
        statement.bind(4, std::string(text));
        statement.exec();
    });
}

std::optional<std::string> Ledger::trial(const base::Sha256& picture, const base::Sha256& network, int version) const {
    if (!m_state->has_network_trials) return std::nullopt;
    return translated(m_state->file, [&]() -> std::optional<std::string> {
        SQLite::Statement statement(m_state->database,
                                    "SELECT text FROM network_trial WHERE picture = ? AND network = ? AND version = ?");
        bind_hash(statement, 1, picture);
        bind_hash(statement, 2, network);
        statement.bind(3, version);
        if (!statement.executeStep()) return std::nullopt;
        return statement.getColumn(0).getString();
    });
}

void Ledger::keep_picture_place(const base::Sha256& picture, const fs::path& place) {
    // Seen where it was last seen: nothing to write, and no wait for the disk.
    const auto known = picture_places(picture);
    const std::string wanted = stored_path(place);
    if (!known.empty() && known.front() == wanted) return;
    translated(m_state->file, [&] {
        SQLite::Statement statement(
            m_state->database,
            "INSERT INTO picture_place (picture, place, seen) VALUES (?1, ?2, (SELECT coalesce(max(seen), 0) + 1 FROM "
            "picture_place WHERE picture = ?1)) ON CONFLICT DO UPDATE SET seen = excluded.seen");
        bind_hash(statement, 1, picture);
        statement.bind(2, wanted);
        statement.exec();
    });
}

std::vector<fs::path> Ledger::picture_places(const base::Sha256& picture) const {
    return translated(m_state->file, [&] {
        SQLite::Statement statement(m_state->database,
                                    "SELECT place FROM picture_place WHERE picture = ? ORDER BY seen DESC");
        bind_hash(statement, 1, picture);
        std::vector<fs::path> places;
        while (statement.executeStep()) places.emplace_back(statement.getColumn(0).getString());
        return places;
    });
}

}  // namespace hangtrue::ledger
