// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/crop_view.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QPainterPath>
#include <algorithm>
#include <cmath>

#include "apps/desktop/order.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

namespace {

constexpr double handle = 12;
constexpr double least_width = 40;  ///< Picture pixels.

}  // namespace

CropView::CropView(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setMinimumSize(300, 220);
    setAccessibleName(tr("Which part of the picture hangs"));
}

void CropView::begin() {
    QRectF all;
    for (const jobs::HungPanel& panel : m_order.room().panels) {
        all = all.united(QRectF(panel.shown.x, panel.shown.y, panel.shown.width, panel.shown.height));
    }
    if (all.isEmpty()) return;
    m_shape = all.width() / all.height();
    m_crop = all;
    setFocus();
    update();
}

void CropView::set_crop(QRectF crop) {
    m_crop = within(crop);
    update();
}

QRectF CropView::picture_place() const {
    const base::PixelSize size = m_order.picture_size();
    const double w = size.width * scale(), h = size.height * scale();
    return {(width() - w) / 2, (height() - h) / 2, w, h};
}

double CropView::scale() const {
    const base::PixelSize size = m_order.picture_size();
    if (size.width <= 0) return 1;
    return std::min((width() - 2.0 * space::large) / size.width, (height() - 2.0 * space::large) / size.height);
}

QPointF CropView::to_picture(QPointF point) const { return (point - picture_place().topLeft()) / scale(); }

QRectF CropView::on_screen() const {
    const QPointF corner = picture_place().topLeft();
    return {corner + m_crop.topLeft() * scale(), m_crop.size() * scale()};
}

/// The same shape, no larger than the picture, moved inside it.
QRectF CropView::within(QRectF crop) const {
    const base::PixelSize size = m_order.picture_size();
    const double most = std::min(static_cast<double>(size.width), size.height * m_shape);
    const double w = std::clamp(crop.width(), std::min(least_width, most), most), h = w / m_shape;
    return {std::clamp(crop.x(), 0.0, std::max(0.0, size.width - w)),
            std::clamp(crop.y(), 0.0, std::max(0.0, size.height - h)), w, h};
}

void CropView::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    const Tones& t = tones();
    painter.fillRect(rect(), t.wall_foot);
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    const QRectF place = picture_place();
    painter.drawImage(place, m_order.image());
    QPainterPath outside;
    outside.addRect(place);
    const QRectF inside = on_screen();
    outside.addRect(inside);
    painter.fillPath(outside, QColor(60, 60, 60, 175));
    painter.setPen(QPen(QColor(0, 0, 0, 150), 3));
    painter.drawRect(inside);
    painter.setPen(QPen(Qt::white, 1));
    painter.drawRect(inside);
    for (const QPointF corner : {inside.topLeft(), inside.topRight(), inside.bottomRight(), inside.bottomLeft()}) {
        const QRectF square(corner.x() - handle / 2, corner.y() - handle / 2, handle, handle);
        painter.fillRect(square, Qt::white);
        painter.setPen(QColor(40, 40, 40));
        painter.drawRect(square);
    }
}

void CropView::mousePressEvent(QMouseEvent* event) {
    const QRectF inside = on_screen();
    const QPointF corners[] = {inside.topLeft(), inside.topRight(), inside.bottomRight(), inside.bottomLeft()};
    m_corner = inside.contains(event->position()) ? 4 : -1;
    for (int i = 0; i < 4; ++i) {
        const QPointF away = event->position() - corners[i];
        if (std::max(std::abs(away.x()), std::abs(away.y())) <= handle) m_corner = i;
    }
    m_from = to_picture(event->position());
    m_crop_from = m_crop;
}

void CropView::mouseMoveEvent(QMouseEvent* event) {
    const QPointF now = to_picture(event->position());
    if (m_corner == 4) {
        set_crop(m_crop_from.translated(now - m_from));
    } else if (m_corner >= 0) {
        const QPointF corners[] = {m_crop_from.topLeft(), m_crop_from.topRight(), m_crop_from.bottomRight(),
                                   m_crop_from.bottomLeft()};
        const QPointF fixed = corners[(m_corner + 2) % 4];
        const QPointF reach = now - fixed;
        resize_about(fixed, std::max(std::abs(reach.x()), std::abs(reach.y()) * m_shape), false);
    }
}

void CropView::mouseReleaseEvent(QMouseEvent*) { m_corner = -1; }

/// `fixed`: the corner that stays; or the middle.
void CropView::resize_about(QPointF fixed, double wanted, bool from_middle) {
    const base::PixelSize size = m_order.picture_size();
    if (from_middle) {
        const double w = wanted, h = w / m_shape;
        set_crop({fixed.x() - w / 2, fixed.y() - h / 2, w, h});
        return;
    }
    const bool to_left = m_corner == 0 || m_corner == 3;
    const bool to_top = m_corner == 0 || m_corner == 1;
    const double room_x = to_left ? fixed.x() : size.width - fixed.x();
    const double room_y = to_top ? fixed.y() : size.height - fixed.y();
    const double w = std::clamp(wanted, least_width, std::max(least_width, std::min(room_x, room_y * m_shape)));
    const double h = w / m_shape;
    set_crop({to_left ? fixed.x() - w : fixed.x(), to_top ? fixed.y() - h : fixed.y(), w, h});
}

void CropView::keyPressEvent(QKeyEvent* event) {
    const double by = event->modifiers().testFlag(Qt::ShiftModifier) ? 25 : 1;
    switch (event->key()) {
        case Qt::Key_Left: set_crop(m_crop.translated(-by, 0)); return;
        case Qt::Key_Right: set_crop(m_crop.translated(by, 0)); return;
        case Qt::Key_Up: set_crop(m_crop.translated(0, -by)); return;
        case Qt::Key_Down: set_crop(m_crop.translated(0, by)); return;
        case Qt::Key_Plus:
        case Qt::Key_Equal: resize_about(m_crop.center(), m_crop.width() + 10 * by, true); return;
        case Qt::Key_Minus: resize_about(m_crop.center(), m_crop.width() - 10 * by, true); return;
        case Qt::Key_Return:
        case Qt::Key_Enter: emit taken(); return;
        case Qt::Key_Escape: emit left(); return;
        default: QWidget::keyPressEvent(event);
    }
}

}  // namespace hangtrue::desktop
