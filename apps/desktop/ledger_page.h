// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The records: what was made, and making it again.

#include <QString>
#include <QWidget>

#include "engine/jobs/kept_wishes.h"

namespace hangtrue::desktop {

class Bridge;

class LedgerPage : public QWidget {
    Q_OBJECT
  public:
    LedgerPage(Bridge& bridge, QWidget* parent);

  signals:
    /// Hang this picture on the wall, with the wish that was kept for it.
    void picture_chosen(const QString& path);
    /// The same, with this wish.
    void wish_chosen(const QString& path, const hangtrue::jobs::WishWords& wish);

  private:
    Bridge& m_bridge;
};

}  // namespace hangtrue::desktop
