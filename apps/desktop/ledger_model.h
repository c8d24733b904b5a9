// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ledger's records as a table for views. User's thread alone.

#include <QAbstractTableModel>
#include <vector>

#include "engine/base/units_text.h"
#include "engine/jobs/ledger_list.h"

namespace hangtrue::desktop {

class LedgerModel : public QAbstractTableModel {
    Q_OBJECT
  public:
    enum Column { made_column, what_column, picture_column, size_column, medium_column, shop_column, file_column };
    static constexpr int columns = file_column + 1;

    explicit LedgerModel(QObject* parent = nullptr);

    int rowCount(const QModelIndex& parent = {}) const override;
    int columnCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;
    QVariant headerData(int section, Qt::Orientation orientation, int role) const override;

    void set_records(std::vector<jobs::ListedRecord> records, base::ShownUnits units);
    void set_units(base::ShownUnits units);
    const jobs::ListedRecord& record(int number) const { return m_records[static_cast<std::size_t>(number)]; }
    const ledger::Row& row(int number) const { return record(number).row; }

  private:
    QString what(const jobs::ListedRecord& record) const;
    QString size(const jobs::ListedRecord& record) const;

    std::vector<jobs::ListedRecord> m_records;
    base::ShownUnits m_units = base::ShownUnits::inches;
};

}  // namespace hangtrue::desktop
