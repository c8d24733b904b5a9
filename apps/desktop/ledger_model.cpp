// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/ledger_model.h"

#include "apps/desktop/page_parts.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {

LedgerModel::LedgerModel(QObject* parent) : QAbstractTableModel(parent) {}

int LedgerModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_rows.size());
}

int LedgerModel::columnCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : columns; }

QVariant LedgerModel::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || role != Qt::DisplayRole) return {};
    switch (section) {
        case made_column: return tr("Made");
        case picture_column: return tr("Picture");
        case medium_column: return tr("Medium");
        case shop_column: return tr("Shop");
        case size_column: return tr("Size");
        case prints_column: return tr("Prints");
        case file_column: return tr("File");
        default: return {};
    }
}

QVariant LedgerModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid | CheckIndexOption::ParentIsInvalid)) return {};
    const ledger::Row& row = m_rows[static_cast<std::size_t>(index.row())];
    if (role == Qt::ToolTipRole) {
        return tr("Record %1: %2, %3, made by Hangtrue %4")
            .arg(row.id)
            .arg(shown(row.file_path), shown(base::bytes_text(row.bytes)), shown(row.program_version));
    }
    if (role != Qt::DisplayRole) return {};
    switch (index.column()) {
        case made_column: return day_of(row.made_at);
        case picture_column: return shown(row.picture_name);
        case medium_column: return shown(row.medium);
        case shop_column: return shown(row.shop);
        case size_column: return shown(row.size_name);
        case prints_column: return row.quantity;
        case file_column: return shown(std::filesystem::path(row.file_path).filename());
        default: return {};
    }
}

void LedgerModel::set_rows(std::vector<ledger::Row> rows) {
    beginResetModel();
    m_rows = std::move(rows);
    endResetModel();
}

}  // namespace hangtrue::desktop
