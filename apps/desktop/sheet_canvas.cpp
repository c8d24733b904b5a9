// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/sheet_canvas.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QToolTip>
#include <algorithm>
#include <utility>

#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

SheetCanvas::SheetCanvas(QWidget* parent) : QWidget(parent) {
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setAccessibleName(tr("The test sheet"));
    setAccessibleDescription(tr("Arrow keys go from cell to cell, Enter chooses one"));
}

void SheetCanvas::show_sheet(const jobs::SheetView& view) {
    m_view = view;
    m_image = image_of(view.shown);
    clear_answer();
}

void SheetCanvas::clear_answer() {
    m_best.clear();
    m_second.clear();
    m_grey.clear();
    m_pointed.clear();
    update();
    emit answer_changed();
}

void SheetCanvas::set_answer(const Answer& answer) {
    m_best = answer.best;
    m_second = answer.second;
    m_grey = answer.grey;
    update();
    emit answer_changed();
}

QRectF SheetCanvas::sheet_rect() const {
    if (m_view.size.width == 0) return {};
    const QSizeF size = QSizeF(m_view.size.width, m_view.size.height).scaled(QSizeF(this->size()), Qt::KeepAspectRatio);
    return {QPointF((width() - size.width()) / 2, (height() - size.height()) / 2), size};
}

QRectF SheetCanvas::in_widget(base::PixelRect rect) const {
    const QRectF sheet = sheet_rect();
    const double scale = sheet.width() / std::max(1, m_view.size.width);
    return {sheet.left() + rect.x * scale, sheet.top() + rect.y * scale, rect.width * scale, rect.height * scale};
}

QRect SheetCanvas::place_of(const QString& name) const {
    for (const auto* spots : {&m_view.cells, &m_view.greys}) {
        for (const jobs::SheetSpot& spot : *spots) {
            if (shown(spot.name) == name) return in_widget(spot.rect).toRect();
        }
    }
    return {};
}

const jobs::SheetSpot* SheetCanvas::spot_at(const QPointF& point) const {
    for (const auto* spots : {&m_view.cells, &m_view.greys}) {
        for (const jobs::SheetSpot& spot : *spots) {
            if (in_widget(spot.rect).contains(point)) return &spot;
        }
    }
    return nullptr;
}

bool SheetCanvas::is_grey(const QString& name) const {
    for (const jobs::SheetSpot& spot : m_view.greys) {
        if (shown(spot.name) == name) return true;
    }
    return false;
}

void SheetCanvas::press(const QString& name) {
    if (is_grey(name)) {
        m_grey = m_grey == name ? QString() : name;
    } else if (name == m_best) {
        m_best = std::exchange(m_second, QString());
    } else if (name == m_second) {
        m_second.clear();
    } else if (m_best.isEmpty()) {
        m_best = name;
    } else {
        m_second = name;
    }
    m_pointed = name;
    update();
    emit answer_changed();
}

void SheetCanvas::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    const QRectF sheet = sheet_rect();
    if (sheet.isEmpty()) return;
    if (m_image.isNull()) {
        painter.fillRect(sheet, tones().raised);
        painter.setPen(tones().edge);
        painter.drawRect(sheet);
        for (const auto* spots : {&m_view.cells, &m_view.greys}) {
            for (const jobs::SheetSpot& spot : *spots) {
                painter.drawRect(in_widget(spot.rect));
                painter.drawText(in_widget(spot.rect), Qt::AlignCenter, shown(spot.name));
            }
        }
    } else {
        painter.drawImage(sheet, m_image);
    }
    // Frames in black and white, so that they are seen on any picture; what they mean stands in words on them.
    const auto frame = [&](const QString& name, const QString& words, double width) {
        if (name.isEmpty()) return;
        const QRectF place = QRectF(place_of(name)).adjusted(-2, -2, 2, 2);
        painter.setPen(QPen(Qt::white, width + 2));
        painter.drawRect(place);
        painter.setPen(QPen(Qt::black, width));
        painter.drawRect(place);
        if (words.isEmpty()) return;
        painter.setFont(font_of(Text::strong));
        QRectF tag = painter.fontMetrics().boundingRect(words).adjusted(-6, -3, 6, 3);
        tag.moveBottomLeft(place.bottomLeft() + QPointF(-1, 1));  // The letter stands above the cell.
        painter.fillRect(tag, Qt::black);
        painter.setPen(Qt::white);
        painter.drawText(tag, Qt::AlignCenter, words);
    };
    frame(m_second, tr("next best"), 2);
    frame(m_best, tr("best"), 4);
    frame(m_grey, tr("neutral"), 3);
    if (m_pointed != m_best && m_pointed != m_second && m_pointed != m_grey) frame(m_pointed, QString(), 1);
    if (hasFocus()) {
        painter.setPen(QPen(tones().ink, 1, Qt::DotLine));
        painter.drawRect(rect().adjusted(0, 0, -1, -1));
    }
}

void SheetCanvas::mousePressEvent(QMouseEvent* event) {
    if (const jobs::SheetSpot* spot = spot_at(event->position())) press(shown(spot->name));
}

void SheetCanvas::mouseMoveEvent(QMouseEvent* event) {
    const jobs::SheetSpot* spot = spot_at(event->position());
    m_pointed = spot == nullptr ? QString() : shown(spot->name);
    setCursor(spot == nullptr ? Qt::ArrowCursor : Qt::PointingHandCursor);
    update();
}

void SheetCanvas::leaveEvent(QEvent*) {
    m_pointed.clear();
    update();
}

void SheetCanvas::step(int by) {
    std::vector<QString> names;
    for (const jobs::SheetSpot& spot : m_view.cells) names.push_back(shown(spot.name));
    for (const jobs::SheetSpot& spot : m_view.greys) names.push_back(shown(spot.name));
    if (names.empty()) return;
    const auto at = std::find(names.begin(), names.end(), m_pointed);
    const int count = static_cast<int>(names.size());
    const int now = at == names.end() ? (by > 0 ? -1 : 0) : static_cast<int>(at - names.begin());
    m_pointed = names[static_cast<std::size_t>((now + by + count) % count)];
    setAccessibleDescription(tr("%1 is pointed at; Enter chooses it").arg(m_pointed));
    update();
}

void SheetCanvas::keyPressEvent(QKeyEvent* event) {
    switch (event->key()) {
        case Qt::Key_Right:
        case Qt::Key_Down: step(1); return;
        case Qt::Key_Left:
        case Qt::Key_Up: step(-1); return;
        case Qt::Key_Return:
        case Qt::Key_Enter:
        case Qt::Key_Space:
            if (!m_pointed.isEmpty()) press(m_pointed);
            return;
        default: break;
    }
    // A cell's own letter chooses it.
    const QString letter = event->text().toUpper();
    if (!letter.isEmpty() && !is_grey(letter) && !place_of(letter).isNull()) {
        press(letter);
        return;
    }
    QWidget::keyPressEvent(event);
}

bool SheetCanvas::event(QEvent* event) {
    if (event->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(event);
        const jobs::SheetSpot* spot = spot_at(help->pos());
        QToolTip::showText(
            help->globalPos(),
            spot == nullptr ? QString()
            : is_grey(shown(spot->name))
                ? tr("Grey %1: choose it if it has no tint beside the bare paper").arg(shown(spot->name))
                : tr("Cell %1: the best, then the next best (or press its letter)").arg(shown(spot->name)),
            this);
        return true;
    }
    return QWidget::event(event);
}

}  // namespace hangtrue::desktop
