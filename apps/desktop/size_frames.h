// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The sizes that the medium offers, as frames to scale inside one another, each with its verdict in words beside.

#include <QWidget>

class QLabel;

namespace hangtrue::desktop {

class Order;

/// The frames alone: all stand on one line, as prints stand on a shelf.
class FrameDrawing : public QWidget {
    Q_OBJECT
  public:
    FrameDrawing(Order& order, QWidget* parent);
    QSize sizeHint() const override { return {300, 150}; }
    void set_lit(int row);

  signals:
    void lit(int row);  ///< -1: none.
    void chosen(int row);

  protected:
    void paintEvent(QPaintEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void leaveEvent(QEvent* event) override;

  private:
    std::vector<QRectF> frames() const;
    int at(QPointF point) const;

    Order& m_order;
    int m_lit = -1;
};

class SizeFrames : public QWidget {
    Q_OBJECT
  public:
    SizeFrames(Order& order, QWidget* parent);

  signals:
    /// A size is looked at; 0 x 0: none.
    void looked_at(QSizeF size_mm);

  private:
    void show_row(int row);
    void choose(int row);
    void show_sizes();

    Order& m_order;
    FrameDrawing* m_drawing;
    QLabel* m_words;
};

/// Which row of the offered sizes the wish names; -1: none of them.
int current_row(const Order& order);

}  // namespace hangtrue::desktop
