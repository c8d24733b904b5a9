// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The sizes that the medium offers, as frames to scale inside one another, each with its verdict in words beside.

#include <QRectF>
#include <QWidget>
#include <vector>

class QLabel;

namespace hangtrue::desktop {

class Order;

/// The frames alone, all out of one corner, each with its size written beside it. The arrow keys go from size to size,
/// Return takes one.
class FrameDrawing : public QWidget {
    Q_OBJECT
  public:
    FrameDrawing(Order& order, QWidget* parent);
    QSize sizeHint() const override { return {300, height()}; }
    void set_lit(int row);
    int lit_row() const { return m_lit; }
    /// Other sizes: as high as their names need.
    void fit();
    /// The size that is lit, else the one in the order, with its verdict: what is read aloud.
    QString spoken() const;
    QRectF frame(int row) const { return frames().at(static_cast<std::size_t>(row)); }
    QRectF label(int row) const { return labels().at(static_cast<std::size_t>(row)); }

  signals:
    void lit(int row);  ///< -1: none.
    void chosen(int row);

  protected:
    void paintEvent(QPaintEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void leaveEvent(QEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void focusOutEvent(QFocusEvent* event) override;

  private:
    void light(int row);
    QString name(std::size_t row) const;
    double names_width() const;
    std::vector<QRectF> frames() const;
    /// Beside the frames, each as near to its own top edge as the others leave it.
    std::vector<QRectF> labels() const;
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
