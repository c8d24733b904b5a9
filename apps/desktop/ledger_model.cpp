// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/ledger_model.h"

#include "apps/desktop/page_parts.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {

LedgerModel::LedgerModel(QObject* parent) : QAbstractTableModel(parent) {}

int LedgerModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_records.size());
}

int LedgerModel::columnCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : columns; }

QVariant LedgerModel::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || role != Qt::DisplayRole) return {};
    switch (section) {
        case made_column: return tr("Made");
        case what_column: return tr("What");
        case picture_column: return tr("Picture");
        case size_column: return tr("Size");
        case medium_column: return tr("Medium");
        case shop_column: return tr("Shop");
        case file_column: return tr("File");
        default: return {};
    }
}

QString LedgerModel::what(const jobs::ListedRecord& record) const {
    if (record.test_sheet > 0) return tr("test sheet %1").arg(record.test_sheet);
    QString words = counted(record.row.quantity, tr("print"), tr("%1 prints"));
    if (record.panels > 1) words += tr(", part %1 of %2").arg(record.panel).arg(record.panels);
    return words;
}

QString LedgerModel::size(const jobs::ListedRecord& record) const {
    return shown(record.size ? base::size_text(*record.size, m_units) : record.row.size_name);
}

QVariant LedgerModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid | CheckIndexOption::ParentIsInvalid)) return {};
    const jobs::ListedRecord& record = m_records[static_cast<std::size_t>(index.row())];
    const ledger::Row& row = record.row;
    const auto text = [&]() -> QString {
        switch (index.column()) {
            case made_column: return day_of(row.made_at);
            case what_column: return what(record);
            case picture_column: return shown(record.picture_name);
            case size_column: return size(record);
            case medium_column: return shown(record.medium_name);
            case shop_column: return shown(record.shop_name);
            case file_column: return shown(std::filesystem::path(row.file_path).filename());
            default: return {};
        }
    };
    if (role == Qt::DisplayRole) return text();
    if (role == Qt::ToolTipRole) {
        // What the column is too narrow for, whole.
        return tr("%1\nRecord %2, made %3: %4, %5")
            .arg(text())
            .arg(row.id)
            .arg(moment_of(row.made_at), shown(row.file_path), shown(base::bytes_text(row.bytes)));
    }
    return {};
}

void LedgerModel::set_records(std::vector<jobs::ListedRecord> records, base::ShownUnits units) {
    beginResetModel();
    m_records = std::move(records);
    m_units = units;
    endResetModel();
}

void LedgerModel::set_units(base::ShownUnits units) {
    if (units == m_units) return;
    m_units = units;
    if (!m_records.empty()) emit dataChanged(index(0, size_column), index(rowCount() - 1, size_column));
}

}  // namespace hangtrue::desktop
