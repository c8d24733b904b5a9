// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The room's light for the wall: which light is shown, and the print's picture in it, made on a worker.

#include <QImage>
#include <QObject>
#include <QString>
#include <optional>

#include "engine/jobs/room_light.h"

class QColor;

namespace hangtrue::desktop {

class Order;

class RoomLightView : public QObject {
    Q_OBJECT
  public:
    RoomLightView(Order& order, QObject* parent);
    /// As `--light` takes it; "": the order's own; "screen": as bright as this screen.
    void set_light(const QString& light);
    /// The picture as it looks there; the order's own where nothing is dimmed, or it is not there yet.
    QImage image() const;
    /// A grey of the room.
    QColor wall(const QColor& tone) const;
    /// A colour printed on the medium.
    QColor printed(const QColor& colour) const;
    QString words() const;

  signals:
    void changed();

  private:
    struct Lit {
        jobs::RoomLight light;
        QImage image;
    };
    void ask();

    Order& m_order;
    QString m_light;
    std::optional<Lit> m_lit;
    QString m_trouble;  ///< Why that light cannot be shown.
};

}  // namespace hangtrue::desktop
