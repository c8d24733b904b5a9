// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/wall_view.h"

#include <QKeyEvent>
#include <QLinearGradient>
#include <QMouseEvent>
#include <QPainter>
#include <QPainterPath>
#include <QTransform>
#include <QWheelEvent>
#include <algorithm>
#include <cmath>

#include "apps/desktop/order.h"
#include "apps/desktop/room_light_view.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {

namespace {

constexpr double floor_mm = 260;
constexpr double flag_side = 20;

QRectF rect_of(const jobs::RoomRect& place) { return {place.x, place.y, place.width, place.height}; }

}  // namespace

WallView::WallView(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    setFocusPolicy(Qt::StrongFocus);
    setMinimumSize(300, 220);
    setAccessibleName(tr("The print on the wall"));
    const auto again = [this] {
        update();
        emit scale_changed();
    };
    connect(&m_order, &Order::picture_changed, this, again);
    connect(&m_order, &Order::image_changed, this, again);
    connect(&m_order, &Order::shape_changed, this, again);
    connect(&m_order, &Order::findings_changed, this, again);
    m_light = new RoomLightView(order, this);
    connect(m_light, &RoomLightView::changed, this, again);
}

void WallView::set_nearness(double nearness) {
    m_nearness = std::clamp(nearness, 0.0, 1.0);
    update();
    emit scale_changed();
}

void WallView::set_wall(const QString& wall) {
    m_wall = wall;
    update();
}

void WallView::set_light(const QString& light) { m_light->set_light(light); }

/// The window's tones, with the wall as it was chosen, in the room's light; always a grey, for nothing coloured stands
/// beside a picture.
Tones WallView::room_tones() const {
    Tones t = tones();
    const auto paint = [&](int top, int foot) {
        t.wall_top = QColor(top, top, top);
        t.wall_foot = QColor(foot, foot, foot);
    };
    if (m_wall == QLatin1String("white")) paint(0xDC, 0xCE);
    if (m_wall == QLatin1String("light")) paint(0xB4, 0xA6);
    if (m_wall == QLatin1String("dark")) paint(0x4A, 0x40);
    for (QColor* tone : {&t.wall_top, &t.wall_foot, &t.floor}) *tone = m_light->wall(*tone);
    return t;
}

void WallView::show_frame(QSizeF size_mm) {
    m_frame = size_mm;
    update();
}

/// From millimetres of the room to this widget. Between the whole room and the print alone the window on the wall
/// shrinks by an even factor, so that each step of the wheel looks alike.
QTransform WallView::to_screen() const {
    const jobs::Room& room = m_order.room();
    if (room.panels.empty()) return {};
    const QRectF whole(0, 0, room.width, room.height + floor_mm);
    const QRectF group = rect_of(room.group);
    const double margin = 0.28 * std::max(group.width(), group.height());
    const QRectF near = group.adjusted(-margin, -margin, margin, margin);
    const double fit_whole = std::min(width() / whole.width(), height() / whole.height());
    const double fit_near = std::max(fit_whole, std::min(width() / near.width(), height() / near.height()));
    const double scale = fit_whole * std::pow(fit_near / fit_whole, m_nearness);
    // The middle moves with the scale; what is beyond the floor is never shown while the room still fills the view.
    const double share = fit_near > fit_whole ? (1 / fit_whole - 1 / scale) / (1 / fit_whole - 1 / fit_near) : 0;
    const QPointF middle = whole.center() + (near.center() - whole.center()) * share;
    const double lowest = whole.bottom() - height() / scale / 2;
    QTransform transform;
    transform.translate(width() / 2.0, height() / 2.0);
    transform.scale(scale, scale);
    transform.translate(-middle.x(), -std::min(middle.y(), std::max(lowest, near.center().y())));
    return transform;
}

QRectF WallView::print_rect() const {
    if (m_order.room().panels.empty()) return {};
    return to_screen().mapRect(rect_of(m_order.room().group));
}

QString WallView::scale_words() const {
    if (m_order.room().panels.empty()) return {};
    const double mm_per_px = 1 / (to_screen().m11() * devicePixelRatioF());  // Of the screen's own pixels.
    const auto bar = base::Millimetres{100 * mm_per_px};
    return tr("To scale: 100 pixels of this screen are %1 on the wall. %2")
        .arg(QString::fromStdString(base::length_text(bar, m_order.bridge().workplace().units)), m_light->words());
}

void WallView::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    paint_room(painter);
    if (m_order.room().panels.empty()) return;
    paint_print(painter);
    paint_flags(painter);
    if (hasFocus()) {
        painter.setRenderHint(QPainter::Antialiasing, false);
        painter.setPen(tones().edge);
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(rect().adjusted(0, 0, -1, -1));
    }
}

void WallView::paint_room(QPainter& painter) const {
    const Tones t = room_tones();
    const jobs::Room& room = m_order.room();
    QLinearGradient wall(0, 0, 0, height());
    wall.setColorAt(0, t.wall_top);
    wall.setColorAt(1, t.wall_foot);
    painter.fillRect(rect(), wall);
    if (room.panels.empty()) return;
    const QTransform at = to_screen();
    const double floor_y = at.map(QPointF(0, room.height)).y();
    if (floor_y < height()) {
        painter.fillRect(QRectF(0, floor_y, width(), height() - floor_y), t.floor);
        const double skirting = 90 * at.m11();
        painter.fillRect(QRectF(0, floor_y - skirting, width(), skirting), t.wall_top.lighter(108));
        painter.fillRect(QRectF(0, floor_y - skirting, width(), 1), t.wall_foot.darker(115));
        QLinearGradient shade(0, floor_y, 0, floor_y + 40 * at.m11());
        shade.setColorAt(0, QColor(0, 0, 0, 60));
        shade.setColorAt(1, QColor(0, 0, 0, 0));
        painter.fillRect(QRectF(0, floor_y, width(), 40 * at.m11()), shade);
    }
    const QRectF door = at.mapRect(rect_of(room.door));
    const double frame = 70 * at.m11();
    const QColor line = t.wall_foot.darker(118);
    painter.setPen(QPen(line, 1));
    painter.setBrush(t.wall_top.lighter(112));
    painter.drawRect(door.adjusted(-frame, -frame, frame, 0));
    painter.setBrush(t.wall_top.lighter(105));
    painter.drawRect(door);
    painter.setBrush(Qt::NoBrush);
    const double inset = 130 * at.m11();
    for (const auto& [top, bottom] : {std::pair{0.075, 0.44}, std::pair{0.53, 0.93}}) {
        painter.drawRect(QRectF(door.x() + inset, door.y() + top * door.height(), door.width() - 2 * inset,
                                (bottom - top) * door.height()));
    }
    painter.fillRect(
        QRectF(door.right() - 95 * at.m11(), door.bottom() - 1030 * at.m11(), 55 * at.m11(), 22 * at.m11()),
        t.floor.darker(130));
    // The bench: a board on two legs.
    const QRectF seat = at.mapRect(rect_of(room.seat));
    const double board = 60 * at.m11();
    painter.setPen(Qt::NoPen);
    painter.setBrush(t.floor.darker(125));
    painter.drawRect(QRectF(seat.x(), seat.y(), seat.width(), board));
    for (const double leg : {0.08, 0.86}) {
        painter.drawRect(
            QRectF(seat.x() + leg * seat.width(), seat.y() + board, 0.06 * seat.width(), seat.height() - board));
    }
}

void WallView::paint_print(QPainter& painter) const {
    const Tones t = room_tones();
    const jobs::Room& room = m_order.room();
    const QTransform at = to_screen();
    const QImage image = m_light->image();
    const base::PixelSize whole = m_order.picture_size();
    for (std::size_t i = 0; i < room.panels.size(); ++i) {
        const jobs::HungPanel& panel = room.panels[i];
        const QRectF place = at.mapRect(rect_of(panel.place));
        // Light from above and the left: the print's shadow falls down and to the right, further for a deep canvas.
        const double lift = std::max(2.0, (18 + room.depth) * at.m11());
        painter.setPen(Qt::NoPen);
        constexpr int steps = 24;
        painter.setBrush(QColor(0, 0, 0, 5));
        for (int step = 0; step < steps; ++step) {
            const double grown = lift * (1.1 - 1.6 * step / steps);
            painter.drawRoundedRect(place.translated(lift * 0.45, lift * 0.9).adjusted(-grown, -grown, grown, grown),
                                    std::max(0.0, grown), std::max(0.0, grown));
        }
        if (room.depth > 0) {
            const double side = room.depth * at.m11() * 0.35;
            QPolygonF right({place.topRight(), place.topRight() + QPointF(side, side),
                             place.bottomRight() + QPointF(side, side), place.bottomRight()});
            QPolygonF under({place.bottomLeft(), place.bottomRight(), place.bottomRight() + QPointF(side, side),
                             place.bottomLeft() + QPointF(side, side)});
            painter.setBrush(t.floor.darker(140));
            painter.drawPolygon(right);
            painter.setBrush(t.floor.darker(170));
            painter.drawPolygon(under);
        }
        painter.fillRect(place, m_light->printed(QColor(0xF6, 0xF6, 0xF6)));
        const plan::Geometry& geometry = m_order.shape().plans.at(i).geometry;
        const double px = place.width() / std::max(1, geometry.finished_px.width);
        const base::PixelRect seen = base::intersection(geometry.finished_px, geometry.image);
        const QRectF target(place.x() + (seen.x - geometry.finished_px.x) * px,
                            place.y() + (seen.y - geometry.finished_px.y) * px, seen.width * px, seen.height * px);
        if (seen != geometry.finished_px) {
            const auto& c = geometry.fill_colour.srgb;
            painter.fillRect(place, m_light->printed(QColor(c[0], c[1], c[2])));
        }
        if (!image.isNull() && whole.width > 0) {
            const double k = static_cast<double>(image.width()) / whole.width;
            painter.drawImage(
                target, image,
                QRectF(panel.shown.x * k, panel.shown.y * k, panel.shown.width * k, panel.shown.height * k));
        }
    }
    if (m_frame.width() > 0) {
        const QPointF middle = rect_of(room.group).center();
        const QRectF frame(middle.x() - m_frame.width() / 2, middle.y() - m_frame.height() / 2, m_frame.width(),
                           m_frame.height());
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(QColor(0, 0, 0, 160), 3));
        painter.drawRect(at.mapRect(frame));
        painter.setPen(QPen(QColor(255, 255, 255, 230), 1, Qt::DashLine));
        painter.drawRect(at.mapRect(frame));
    }
}

void WallView::show_places(int finding) {
    m_finding = finding;
    update();
}

/// Where it was found, on the wall; on each panel that shows it.
std::vector<QRectF> WallView::places_of(const checks::Finding& finding) const {
    std::vector<QRectF> places;
    const QTransform at = to_screen();
    for (const base::PixelRect& where : finding.where) {
        for (const jobs::HungPanel& panel : m_order.room().panels) {
            const QRectF seen(panel.shown.x, panel.shown.y, panel.shown.width, panel.shown.height);
            const QRectF common = seen.intersected(QRectF(where.x, where.y, where.width, where.height));
            if (common.isEmpty() || seen.isEmpty()) continue;
            const QRectF face = at.mapRect(rect_of(panel.place));
            const double across = face.width() / seen.width(), down = face.height() / seen.height();
            places.emplace_back(face.x() + (common.x() - seen.x()) * across, face.y() + (common.y() - seen.y()) * down,
                                common.width() * across, common.height() * down);
        }
    }
    return places;
}

std::vector<QRectF> WallView::flag_rects() const {
    std::vector<QRectF> flags;
    const QRectF print = print_rect();
    int beside = 0;
    for (const checks::Finding& finding : m_order.findings()) {
        const auto places = places_of(finding);
        QPointF corner(print.left() - flag_side - space::small, print.top() + beside * (flag_side + space::hair));
        if (places.empty()) {
            // What is true of the whole print stands beside it: nothing of the picture is covered.
            ++beside;
        } else {
            corner = places.front().center() - QPointF(flag_side / 2, flag_side / 2);
        }
        QRectF flag(corner, QSizeF(flag_side, flag_side));
        // Flags at one place step aside.
        const auto meets = [&](const QRectF& other) { return other.intersects(flag); };
        while (std::any_of(flags.begin(), flags.end(), meets)) flag.translate(flag_side + 2, 0);
        flags.push_back(flag);
    }
    return flags;
}

void WallView::paint_flags(QPainter& painter) {
    const Tones& t = tones();
    const auto& findings = m_order.findings();
    if (m_finding >= 0 && m_finding < static_cast<int>(findings.size())) {
        painter.setBrush(Qt::NoBrush);
        for (const QRectF& place : places_of(findings[static_cast<std::size_t>(m_finding)])) {
            painter.setPen(QPen(QColor(0, 0, 0, 190), 3));
            painter.drawRect(place);
            painter.setPen(QPen(QColor(255, 255, 255, 230), 1, Qt::DashLine));
            painter.drawRect(place);
        }
    }
    const auto flags = flag_rects();
    painter.setFont(font_of(Text::small));
    for (std::size_t i = 0; i < flags.size(); ++i) {
        const bool is_stop = findings[i].severity == checks::Severity::stop;
        painter.setPen(QPen(t.ground, static_cast<int>(i) == m_finding ? 3 : 1));
        painter.setBrush(is_stop ? t.ink : t.raised);
        // A stop is a square, all others are round: not told by tone alone.
        if (is_stop)
            painter.drawRect(flags[i]);
        else
            painter.drawEllipse(flags[i]);
        painter.setPen(is_stop ? t.ground : t.ink);
        painter.drawText(flags[i], Qt::AlignCenter, QString::number(i + 1));
    }
}

void WallView::wheelEvent(QWheelEvent* event) {
    set_nearness(m_nearness + event->angleDelta().y() / 120.0 * 0.08);
    event->accept();
}

void WallView::keyPressEvent(QKeyEvent* event) {
    if (event->key() == Qt::Key_Plus || event->key() == Qt::Key_Equal)
        set_nearness(m_nearness + 0.1);
    else if (event->key() == Qt::Key_Minus)
        set_nearness(m_nearness - 0.1);
    else
        QWidget::keyPressEvent(event);
}

void WallView::mousePressEvent(QMouseEvent* event) {
    const auto flags = flag_rects();
    for (std::size_t i = 0; i < flags.size(); ++i) {
        if (flags[i].contains(event->position())) emit finding_chosen(static_cast<int>(i));
    }
}

}  // namespace hangtrue::desktop
