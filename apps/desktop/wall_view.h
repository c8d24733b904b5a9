// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The print on its wall, to scale: a door and a bench for measure, panels, the depth of a canvas, numbered flags.
/// The wheel and + and - step nearer and back.

#include <QWidget>
#include <vector>

#include "apps/desktop/style.h"
#include "engine/checks/checks.h"

namespace hangtrue::desktop {

class Order;
class RoomLightView;

class WallView : public QWidget {
    Q_OBJECT
  public:
    WallView(Order& order, QWidget* parent);
    /// 0: the whole room; 1: the print alone.
    void set_nearness(double nearness);
    double nearness() const { return m_nearness; }
    /// Where the print hangs, in this widget.
    QRectF print_rect() const;
    QString scale_words() const;
    /// Draws one of the medium's sizes as a frame about the print; 0 x 0: none.
    void show_frame(QSizeF size_mm);
    /// "": the window's own grey; "white", "light", "dark".
    void set_wall(const QString& wall);
    /// As RoomLightView::set_light.
    void set_light(const QString& light);
    /// Outlines where a finding was found; -1: none.
    void show_places(int finding);

  signals:
    void scale_changed();
    void finding_chosen(int index);

  protected:
    void paintEvent(QPaintEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;

  private:
    Tones room_tones() const;
    QTransform to_screen() const;
    void paint_room(QPainter& painter) const;
    void paint_print(QPainter& painter) const;
    void paint_flags(QPainter& painter);
    std::vector<QRectF> flag_rects() const;
    std::vector<QRectF> places_of(const checks::Finding& finding) const;

    Order& m_order;
    RoomLightView* m_light;
    double m_nearness = 0.35;
    QString m_wall;
    QSizeF m_frame;
    int m_finding = -1;
};

}  // namespace hangtrue::desktop
