// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/sheet_model.h"

#include "apps/desktop/page_parts.h"

namespace hangtrue::desktop {

SheetModel::SheetModel(QObject* parent) : QAbstractListModel(parent) {}

int SheetModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_sheets.size());
}

QVariant SheetModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid | CheckIndexOption::ParentIsInvalid)) return {};
    const jobs::ListedSheet& sheet = m_sheets[static_cast<std::size_t>(index.row())];
    const auto state = [&] {
        if (sheet.measurements > 0) return tr("measured");
        if (sheet.answers > 0) return tr("answered by eye");
        return tr("waits for your answer");
    };
    switch (role) {
        case Qt::DisplayRole:
            return tr("Sheet %1, %2\n%3\n%4")
                .arg(sheet.number)
                .arg(state(), shown(sheet.medium_name), shown(sheet.shop_name));
        case Qt::ToolTipRole:
            return tr("Made %1 of %2; its file is %3")
                .arg(day_of(sheet.made_at), shown(sheet.picture.filename()), shown(sheet.file));
        default: return {};
    }
}

void SheetModel::set_sheets(std::vector<jobs::ListedSheet> sheets) {
    beginResetModel();
    m_sheets = std::move(sheets);
    endResetModel();
}

int SheetModel::row_of(std::int64_t number) const {
    for (std::size_t i = 0; i < m_sheets.size(); ++i) {
        if (m_sheets[i].number == number) return static_cast<int>(i);
    }
    return -1;
}

}  // namespace hangtrue::desktop
