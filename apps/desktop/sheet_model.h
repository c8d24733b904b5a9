// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The test sheets that were made, as a list for views. User's thread alone.

#include <QAbstractListModel>
#include <vector>

#include "engine/jobs/sheet_list.h"

namespace hangtrue::desktop {

class SheetModel : public QAbstractListModel {
    Q_OBJECT
  public:
    explicit SheetModel(QObject* parent = nullptr);

    int rowCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;

    void set_sheets(std::vector<jobs::ListedSheet> sheets);
    const jobs::ListedSheet& sheet(int row) const { return m_sheets[static_cast<std::size_t>(row)]; }
    /// -1 where there is none of that number.
    int row_of(std::int64_t number) const;

  private:
    std::vector<jobs::ListedSheet> m_sheets;
};

}  // namespace hangtrue::desktop
