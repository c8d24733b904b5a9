// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A test sheet to be answered in its own picture: cells and greys are pointed at, by mouse or by keys.

#include <QImage>
#include <QWidget>

#include "engine/jobs/sheet_list.h"

namespace hangtrue::desktop {

class SheetCanvas : public QWidget {
    Q_OBJECT
  public:
    explicit SheetCanvas(QWidget* parent);

    void show_sheet(const jobs::SheetView& view);
    void clear_answer();
    /// What was pressed; of a sheet that is shown anew it is put back.
    struct Answer {
        QString best, second, grey;
        friend bool operator==(const Answer&, const Answer&) = default;
    };
    Answer answer() const { return {m_best, m_second, m_grey}; }
    void set_answer(const Answer& answer);

    QString best() const { return m_best; }
    QString second() const { return m_second; }
    QString grey() const { return m_grey; }
    /// The first press says the best cell, the next another as next best; the same one again takes it back. A grey:
    /// chosen or taken back.
    void press(const QString& name);
    /// Where a cell or grey is in the widget; null where there is none of that name.
    QRect place_of(const QString& name) const;

    QSize sizeHint() const override { return {560, 372}; }
    QSize minimumSizeHint() const override { return {320, 240}; }

  signals:
    void answer_changed();

  protected:
    void paintEvent(QPaintEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void leaveEvent(QEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    bool event(QEvent* event) override;

  private:
    QRectF sheet_rect() const;
    QRectF in_widget(base::PixelRect rect) const;
    const jobs::SheetSpot* spot_at(const QPointF& point) const;
    bool is_grey(const QString& name) const;
    void step(int by);

    jobs::SheetView m_view;
    QImage m_image;
    QString m_best, m_second, m_grey;
    QString m_pointed;  ///< Under the mouse, or reached with the arrow keys.
};

}  // namespace hangtrue::desktop
