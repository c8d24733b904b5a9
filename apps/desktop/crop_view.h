// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The whole picture, and on it what shall hang: the shape locked, moved by dragging and by the arrow keys, sized by
/// its corners and by + and -. Return takes it, Escape leaves all as it was.

#include <QWidget>

namespace hangtrue::desktop {

class Order;

class CropView : public QWidget {
    Q_OBJECT
  public:
    CropView(Order& order, QWidget* parent);
    /// Begins with what hangs now.
    void begin();
    /// In pixels of the upright picture.
    QRectF crop() const { return m_crop; }
    void set_crop(QRectF crop);

  signals:
    void taken();
    void left();

  protected:
    void paintEvent(QPaintEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;

  private:
    QRectF picture_place() const;
    double scale() const;  ///< Widget pixels a picture pixel.
    QPointF to_picture(QPointF point) const;
    QRectF on_screen() const;
    QRectF within(QRectF crop) const;
    void resize_about(QPointF fixed, double width, bool from_middle);

    Order& m_order;
    QRectF m_crop;
    double m_shape = 1.5;  ///< Width by height.
    int m_corner = -1;     ///< Dragged: 0 to 3 clockwise from the upper left; 4: the whole; -1: nothing.
    QPointF m_from;
    QRectF m_crop_from;
};

}  // namespace hangtrue::desktop
