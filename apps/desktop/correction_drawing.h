// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A correction drawn: the curve from the picture's greys to the file's, and colours as they are meant beside what the
/// shop prints of them uncorrected; or, of one scan, colours as sent and as read.

#include <QWidget>

class QPainter;

#include "engine/jobs/sheet_list.h"

namespace hangtrue::desktop {

class CorrectionDrawing : public QWidget {
    Q_OBJECT
  public:
    explicit CorrectionDrawing(QWidget* parent);
    void show_correction(const jobs::DrawnCorrection& drawn);
    void show_nothing();
    QSize sizeHint() const override { return {230, 372}; }
    QSize minimumSizeHint() const override { return {170, 240}; }

  protected:
    void paintEvent(QPaintEvent* event) override;

  private:
    void draw_curve(QPainter& painter, const QRectF& square) const;
    void draw_pairs(QPainter& painter, const QRectF& room) const;

    jobs::DrawnCorrection m_drawn;
};

class ReadColours : public QWidget {
    Q_OBJECT
  public:
    explicit ReadColours(QWidget* parent);
    void show_colours(std::vector<jobs::ReadColour> colours);
    QSize sizeHint() const override { return {520, 70}; }

  protected:
    void paintEvent(QPaintEvent* event) override;
    bool event(QEvent* event) override;

  private:
    int column_width() const;
    std::vector<jobs::ReadColour> m_colours;
};

}  // namespace hangtrue::desktop
