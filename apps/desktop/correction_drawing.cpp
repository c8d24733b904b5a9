// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/correction_drawing.h"

#include <QHelpEvent>
#include <QPainter>
#include <QPainterPath>
#include <QToolTip>
#include <algorithm>

#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {
namespace {

QColor colour_of(const std::array<std::uint8_t, 3>& rgb) { return {rgb[0], rgb[1], rgb[2]}; }

}  // namespace

CorrectionDrawing::CorrectionDrawing(QWidget* parent) : QWidget(parent) { setAccessibleName(tr("The correction")); }

void CorrectionDrawing::show_correction(const jobs::DrawnCorrection& drawn) {
    m_drawn = drawn;
    setVisible(!m_drawn.points.empty());
    if (!m_drawn.points.empty()) {
        const auto& middle = m_drawn.points[m_drawn.points.size() / 2];
        setAccessibleDescription(
            tr("A middle grey of lightness %1 is sent as %2")
                .arg(shown(base::number_text(middle.picture, 0)), shown(base::number_text(middle.lightness, 1))));
    }
    update();
}

void CorrectionDrawing::show_nothing() {
    m_drawn = {};
    hide();
}

void CorrectionDrawing::paintEvent(QPaintEvent*) {
    if (m_drawn.points.empty()) return;
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setFont(font_of(Text::small));
    const int text = painter.fontMetrics().height();
    const int side = std::min(height() - 2 * text - space::small, width() / 2);
    const QRectF square(text + space::hair, space::hair, side, side);
    painter.setPen(QPen(tones().line, 1));
    painter.drawRect(square);
    painter.drawLine(square.bottomLeft(), square.topRight());
    QPainterPath curve;
    for (const auto& point : m_drawn.points) {
        const QPointF at(square.left() + side * point.picture / 100, square.bottom() - side * point.lightness / 100);
        if (curve.elementCount() == 0) {
            curve.moveTo(at);
        } else {
            curve.lineTo(at);
        }
    }
    painter.setPen(QPen(tones().ink, 2));
    painter.drawPath(curve);
    painter.setPen(tones().quiet_ink);
    painter.drawText(QRectF(square.left(), square.bottom() + 2, side, text), Qt::AlignCenter,
                     tr("the picture's greys, black to white"));
    painter.save();
    painter.translate(0, square.bottom());
    painter.rotate(-90);
    painter.drawText(QRectF(0, 0, side, text), Qt::AlignCenter, tr("the file's"));
    painter.restore();

    const double left = square.right() + space::large;
    const double room = width() - left;
    if (m_drawn.pairs.empty() || room < 60) return;
    const int columns = std::max(1, std::min(static_cast<int>(m_drawn.pairs.size()), static_cast<int>(room / 34)));
    const int rows = (static_cast<int>(m_drawn.pairs.size()) + columns - 1) / columns;
    const double cell_width = std::min(44.0, room / columns);
    const double cell_height = std::min(44.0, static_cast<double>(side - text) / std::max(1, rows));
    for (std::size_t i = 0; i < m_drawn.pairs.size(); ++i) {
        const int row = static_cast<int>(i) / columns;
        const int column = static_cast<int>(i) % columns;
        const QRectF cell(left + column * cell_width, square.top() + row * cell_height, cell_width - 4,
                          cell_height - 4);
        painter.fillRect(cell, colour_of(m_drawn.pairs[i].meant));
        painter.fillRect(QRectF(cell.left(), cell.center().y(), cell.width(), cell.height() / 2),
                         colour_of(m_drawn.pairs[i].uncorrected));
    }
    painter.setPen(tones().quiet_ink);
    painter.drawText(QRectF(left, square.top() + rows * cell_height + 2, room, 2 * text),
                     Qt::AlignLeft | Qt::TextWordWrap,
                     tr("above as meant, and as corrected files print; beneath as it prints uncorrected"));
}

ReadColours::ReadColours(QWidget* parent) : QWidget(parent) {
    setAccessibleName(tr("What was read"));
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
}

void ReadColours::show_colours(std::vector<jobs::ReadColour> colours) {
    m_colours = std::move(colours);
    setVisible(!m_colours.empty());
    setAccessibleDescription(tr("%1 colours, above as sent, beneath as printed").arg(m_colours.size()));
    update();
}

int ReadColours::column_width() const {
    return std::max(4, std::min(28, width() / std::max(1, static_cast<int>(m_colours.size()))));
}

void ReadColours::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    painter.setFont(font_of(Text::small));
    const int text = painter.fontMetrics().height();
    const int column = column_width();
    const int half = (height() - text - space::hair) / 2;
    for (std::size_t i = 0; i < m_colours.size(); ++i) {
        const int x = static_cast<int>(i) * column;
        painter.fillRect(x, 0, column - 1, half, colour_of(m_colours[i].meant));
        painter.fillRect(x, half, column - 1, half, colour_of(m_colours[i].read));
    }
    painter.setPen(tones().quiet_ink);
    painter.drawText(0, height() - painter.fontMetrics().descent(), tr("above as sent, beneath as printed"));
}

bool ReadColours::event(QEvent* event) {
    if (event->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(event);
        const auto column = static_cast<std::size_t>(std::max(0, help->pos().x() / column_width()));
        QToolTip::showText(
            help->globalPos(),
            column < m_colours.size()
                ? tr("%1: colour difference %2 (1 is just visible)")
                      .arg(shown(m_colours[column].name), shown(base::number_text(m_colours[column].difference, 1)))
                : QString(),
            this);
        return true;
    }
    return QWidget::event(event);
}

}  // namespace hangtrue::desktop
