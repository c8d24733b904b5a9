// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ledger's records as a table for views. User's thread alone.

#include <QAbstractTableModel>
#include <vector>

#include "engine/jobs/verify.h"

namespace hangtrue::desktop {

class LedgerModel : public QAbstractTableModel {
    Q_OBJECT
  public:
    enum Column { made_column, picture_column, medium_column, shop_column, size_column, prints_column, file_column };
    static constexpr int columns = file_column + 1;

    explicit LedgerModel(QObject* parent = nullptr);

    int rowCount(const QModelIndex& parent = {}) const override;
    int columnCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;
    QVariant headerData(int section, Qt::Orientation orientation, int role) const override;

    void set_rows(std::vector<ledger::Row> rows);
    const ledger::Row& row(int number) const { return m_rows[static_cast<std::size_t>(number)]; }

  private:
    std::vector<ledger::Row> m_rows;
};

}  // namespace hangtrue::desktop
