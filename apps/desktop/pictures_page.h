// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The pictures: thumbnails, folders, true detail and largest good size at a glance.

#include <QString>
#include <QWidget>

#include "engine/jobs/kept_wishes.h"

namespace hangtrue::desktop {

class Bridge;

class PicturesPage : public QWidget {
    Q_OBJECT
  public:
    PicturesPage(Bridge& bridge, QWidget* parent);

  signals:
    /// Hang this picture on the wall, with the wish that was kept for it.
    void picture_chosen(const QString& path);
    /// The same, with this wish.
    void wish_chosen(const QString& path, const hangtrue::jobs::WishWords& wish);

  private:
    Bridge& m_bridge;
};

}  // namespace hangtrue::desktop
