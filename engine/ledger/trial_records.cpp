// SPDX-License-Identifier: Apache-2.0
#include "engine/ledger/trial_records.h"

#include <SQLiteCpp/Transaction.h>

#include <functional>

#include "engine/ledger/connection.h"
#include "engine/ledger/schema.h"

namespace hangtrue::ledger {

namespace fs = std::filesystem;

struct TrialRecords::State : Connection {
    State(const fs::path& name, Access access) : Connection(name, access, {}) {}

    /// A ledger that is only looked at may be older than these tables: then it holds none of these records.
    bool is_empty() const { return schema < first_schema_with_trials; }

    std::int64_t id_after(SQLite::Statement& statement) const {
        statement.executeStep();
        const std::int64_t id = statement.getColumn(0).getInt64();
        statement.executeStep();  // The row is in the file only once the statement is done.
        return id;
    }

    void bind(SQLite::Statement& statement, int first, const Printed& printed) const {
        statement.bind(first, printed.shop);
        statement.bind(first + 1, printed.medium);
        statement.bind(first + 2, printed.process);
    }

    template <typename Row, typename Read>
    std::vector<Row> rows(const std::string& select, const std::function<void(SQLite::Statement&)>& bound,
                          Read&& read) const {
        if (is_empty()) return {};
        return translated(file, [&] {
            SQLite::Statement statement(database, select);
            bound(statement);
            std::vector<Row> found;
            while (statement.executeStep()) found.push_back(read(statement));
            return found;
        });
    }

    std::vector<SheetRow> sheets(const std::string& condition,
                                 const std::function<void(SQLite::Statement&)>& bound) const {
        return rows<SheetRow>(
            "SELECT number, made_at, shop, medium, process, picture, made, text FROM test_sheet WHERE " + condition,
            bound, [&](SQLite::Statement& row) {
                return SheetRow{
                    row.getColumn(0).getInt64(),
                    row.getColumn(1).getString(),
                    {row.getColumn(2).getString(), row.getColumn(3).getString(), row.getColumn(4).getString()},
                    hash_in(row.getColumn(5), file),
                    row.getColumn(6).getInt64(),
                    row.getColumn(7).getString()};
            });
    }

    std::optional<CorrectionRow> correction(const std::string& condition,
                                            const std::function<void(SQLite::Statement&)>& bound) const {
        auto found = rows<CorrectionRow>(
            "SELECT id, learned_at, shop, medium, process, text FROM correction WHERE " + condition, bound,
            [](SQLite::Statement& row) {
                return CorrectionRow{
                    row.getColumn(0).getInt64(),
                    row.getColumn(1).getString(),
                    {row.getColumn(2).getString(), row.getColumn(3).getString(), row.getColumn(4).getString()},
                    row.getColumn(5).getString()};
            });
        if (found.empty()) return std::nullopt;
        return std::move(found.front());
    }
};

TrialRecords::TrialRecords(const fs::path& file, Access access) : m_state(std::make_unique<State>(file, access)) {}
TrialRecords::~TrialRecords() = default;

std::int64_t TrialRecords::reserved_sheet(const SheetRow& row) {
    return translated(m_state->file, [&] {
        SQLite::Statement statement(m_state->database,
                                    "INSERT INTO test_sheet (made_at, shop, medium, process, picture, made, text) "
                                    "VALUES (?, ?, ?, ?, ?, 0, ?) RETURNING number");
        statement.bind(1, row.made_at);
        m_state->bind(statement, 2, row.printed);
        bind_hash(statement, 5, row.picture);
        statement.bind(6, row.text);
        return m_state->id_after(statement);
    });
}

void TrialRecords::set_sheet_text(std::int64_t number, const std::string& text) {
    translated(m_state->file, [&] {
        SQLite::Statement statement(m_state->database, "UPDATE test_sheet SET text = ? WHERE number = ?");
        statement.bind(1, text);
        statement.bind(2, number);
        statement.exec();
    });
}

void TrialRecords::set_sheet_made(std::int64_t number, std::int64_t made) {
    translated(m_state->file, [&] {
        SQLite::Statement statement(m_state->database, "UPDATE test_sheet SET made = ? WHERE number = ?");
        statement.bind(1, made);
        statement.bind(2, number);
        statement.exec();
    });
}

std::vector<SheetRow> TrialRecords::sheets(const Printed& printed) const {
    return m_state->sheets("made > 0 AND shop = ? AND medium = ? AND process = ? ORDER BY number",
                           [&](SQLite::Statement& statement) { m_state->bind(statement, 1, printed); });
}

std::vector<SheetRow> TrialRecords::all_sheets() const {
    return m_state->sheets("made > 0 ORDER BY number", [](SQLite::Statement&) {});
}

std::optional<SheetRow> TrialRecords::sheet(std::int64_t number) const {
    auto found =
        m_state->sheets("made > 0 AND number = ?", [&](SQLite::Statement& statement) { statement.bind(1, number); });
    if (found.empty()) return std::nullopt;
    return std::move(found.front());
}

std::int64_t TrialRecords::add_reading(const ReadingRow& reading, const CorrectionRow& correction) {
    return translated(m_state->file, [&] {
        SQLite::Transaction transaction(m_state->database, SQLite::TransactionBehavior::IMMEDIATE);
        SQLite::Statement read(m_state->database, "INSERT INTO reading (sheet, taken_at, text) VALUES (?, ?, ?)");
        read.bind(1, reading.sheet);
        read.bind(2, reading.taken_at);
        read.bind(3, reading.text);
        read.exec();
        SQLite::Statement learned(
            m_state->database,
            "INSERT INTO correction (learned_at, shop, medium, process, text) VALUES (?, ?, ?, ?, ?) RETURNING id");
        learned.bind(1, correction.learned_at);
        m_state->bind(learned, 2, correction.printed);
        learned.bind(5, correction.text);
        const std::int64_t id = m_state->id_after(learned);
        learned.reset();
        transaction.commit();
        return id;
    });
}

std::vector<ReadingRow> TrialRecords::readings(const Printed& printed) const {
    return m_state->rows<ReadingRow>(
        "SELECT reading.id, reading.sheet, reading.taken_at, reading.text FROM reading JOIN test_sheet ON "
        "test_sheet.number = reading.sheet WHERE test_sheet.shop = ? AND test_sheet.medium = ? AND "
        "test_sheet.process = ? ORDER BY reading.id",
        [&](SQLite::Statement& statement) { m_state->bind(statement, 1, printed); },
        [](SQLite::Statement& row) {
            return ReadingRow{row.getColumn(0).getInt64(), row.getColumn(1).getInt64(), row.getColumn(2).getString(),
                              row.getColumn(3).getString()};
        });
}

std::optional<CorrectionRow> TrialRecords::correction(std::int64_t id) const {
    return m_state->correction("id = ?", [&](SQLite::Statement& statement) { statement.bind(1, id); });
}

std::optional<CorrectionRow> TrialRecords::latest_correction(const Printed& printed) const {
    return m_state->correction("shop = ? AND medium = ? AND process = ? ORDER BY id DESC LIMIT 1",
                               [&](SQLite::Statement& statement) { m_state->bind(statement, 1, printed); });
}

}  // namespace hangtrue::ledger
