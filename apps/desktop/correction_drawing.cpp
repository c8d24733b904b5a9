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

/// The curve above, the pairs of colours beneath it: it stands beside the sheet.
void CorrectionDrawing::paintEvent(QPaintEvent*) {
    if (m_drawn.points.empty()) return;
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setFont(font_of(Text::small));
    const int text = painter.fontMetrics().height();
    const double side = std::min(width() - text - space::hair - 1, height() * 11 / 20 - text);
    const QRectF square(text + space::hair, 1, side, side);
    draw_curve(painter, square);
    const double top = square.bottom() + text + space::small;
    draw_pairs(painter, {square.left(), top, width() - square.left(), height() - top});
}

void CorrectionDrawing::draw_curve(QPainter& painter, const QRectF& square) const {
    const int text = painter.fontMetrics().height();
    painter.setPen(QPen(tones().edge, 1));
    painter.drawRect(square);
    painter.setPen(QPen(tones().edge, 1, Qt::DashLine));
    painter.drawLine(square.bottomLeft(), square.topRight());
    QPainterPath curve;
    for (const auto& point : m_drawn.points) {
        const QPointF at(square.left() + square.width() * point.picture / 100,
                         square.bottom() - square.height() * point.lightness / 100);
        if (curve.elementCount() == 0) {
            curve.moveTo(at);
        } else {
            curve.lineTo(at);
        }
    }
    painter.setPen(QPen(tones().ink, 2));
    painter.drawPath(curve);
    painter.setPen(tones().quiet_ink);
    painter.drawText(QRectF(square.left(), square.bottom() + 2, square.width(), text), Qt::AlignCenter,
                     tr("the picture's greys"));
    painter.save();
    painter.translate(0, square.bottom());
    painter.rotate(-90);
    painter.drawText(QRectF(0, 0, square.height(), text), Qt::AlignCenter, tr("the file's greys"));
    painter.restore();
}

void CorrectionDrawing::draw_pairs(QPainter& painter, const QRectF& room) const {
    if (m_drawn.pairs.empty()) return;
    const QString words = tr("above as meant, beneath as it prints uncorrected");
    const double words_height =
        painter.boundingRect(QRectF(0, 0, room.width(), room.height()), Qt::TextWordWrap, words).height();
    constexpr double widest = 30;
    const int count = static_cast<int>(m_drawn.pairs.size());
    const int columns = std::max(1, std::min(count, static_cast<int>(room.width() / 24)));
    const int rows = (count + columns - 1) / columns;
    const double cell_width = std::min(widest, room.width() / columns);
    const double cell_height = std::min(widest, (room.height() - words_height - 2) / rows);
    if (cell_height < 6) return;
    for (int i = 0; i < count; ++i) {
        const auto& pair = m_drawn.pairs[static_cast<std::size_t>(i)];
        const QRectF cell(room.left() + i % columns * cell_width, room.top() + i / columns * cell_height,
                          cell_width - 3, cell_height - 3);
        painter.fillRect(cell, colour_of(pair.meant));
        painter.fillRect(QRectF(cell.left(), cell.center().y(), cell.width(), cell.height() / 2),
                         colour_of(pair.uncorrected));
    }
    painter.setPen(tones().quiet_ink);
    painter.drawText(QRectF(room.left(), room.top() + rows * cell_height + 2, room.width(), words_height + 2),
                     Qt::AlignLeft | Qt::TextWordWrap, words);
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
