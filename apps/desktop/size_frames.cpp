// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/size_frames.h"

#include <QAccessible>
#include <QAccessibleWidget>
#include <QKeyEvent>
#include <QLabel>
#include <QMouseEvent>
#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "apps/desktop/order.h"
#include "apps/desktop/part_choices.h"
#include "apps/desktop/style.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {

int current_row(const Order& order) {
    if (!order.sizes() || order.word("size").isEmpty()) return -1;
    const base::SizeMm now = order.wish().size;
    const auto near = [](base::Millimetres a, base::Millimetres b) { return std::abs(a.value - b.value) < 0.5; };
    const auto& rows = order.sizes()->rows;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const base::SizeMm size = rows[i].size;
        if ((near(size.width, now.width) && near(size.height, now.height)) ||
            (near(size.width, now.height) && near(size.height, now.width))) {
            return static_cast<int>(i);
        }
    }
    return -1;
}

namespace {

constexpr int least_height = 150;
constexpr double gutter = 24;  ///< Between the frames and their names; the lines to them run through it.

/// Of the sizes' names.
QFont name_font(bool is_current) {
    QFont font = font_of(Text::small);
    if (is_current) font.setWeight(QFont::DemiBold);
    return font;
}

int line_height() { return QFontMetrics(font_of(Text::small)).height() + 1; }

/// What is lit is the value of the drawing, as of a list that is closed.
class SpokenFrames : public QAccessibleWidget {
  public:
    explicit SpokenFrames(FrameDrawing& drawing)
        : QAccessibleWidget(&drawing, QAccessible::ComboBox), m_drawing(drawing) {}
    QString text(QAccessible::Text what) const override {
        return what == QAccessible::Value ? m_drawing.spoken() : QAccessibleWidget::text(what);
    }

  private:
    FrameDrawing& m_drawing;
};

QAccessibleInterface* spoken_frames(const QString&, QObject* object) {
    auto* drawing = qobject_cast<FrameDrawing*>(object);
    return drawing == nullptr ? nullptr : new SpokenFrames(*drawing);
}

}  // namespace

FrameDrawing::FrameDrawing(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    [[maybe_unused]] static const bool is_installed = [] {
        QAccessible::installFactory(spoken_frames);
        return true;
    }();
    setMouseTracking(true);
    setFocusPolicy(Qt::StrongFocus);
    setFixedHeight(least_height);
    setCursor(Qt::PointingHandCursor);
    setAccessibleName(tr("Sizes, drawn to scale"));
    setAccessibleDescription(tr("Arrow keys go from size to size, Return takes one"));
    setToolTip(
        tr("A click takes the size. Arrow keys go from size to size, Return takes one, Escape leaves it.\n"
           "The list opens from the sentence (Alt+Z)."));
}

void FrameDrawing::set_lit(int row) {
    m_lit = row;
    update();
}

/// As the pointer or a key does it.
void FrameDrawing::light(int row) {
    if (row == m_lit) return;
    set_lit(row);
    emit lit(row);
    QAccessibleValueChangeEvent told(this, spoken());
    QAccessible::updateAccessibility(&told);
}

void FrameDrawing::fit() {
    const auto count = m_order.sizes() ? static_cast<int>(m_order.sizes()->rows.size()) : 0;
    setFixedHeight(std::max(least_height, count * line_height() + 2));
    if (m_lit >= count) m_lit = -1;
    update();
}

QString FrameDrawing::spoken() const {
    const int row = m_lit >= 0 ? m_lit : current_row(m_order);
    if (!m_order.sizes() || row < 0 || row >= static_cast<int>(m_order.sizes()->rows.size())) return {};
    const plan::SizeRow& size = m_order.sizes()->rows[static_cast<std::size_t>(row)];
    return tr("%1: %2").arg(name(static_cast<std::size_t>(row)), verdict(size, m_order.bridge().workplace().units));
}

QString FrameDrawing::name(std::size_t row) const {
    return QString::fromStdString(base::size_text(m_order.sizes()->rows[row].size, m_order.bridge().workplace().units));
}

double FrameDrawing::names_width() const {
    const QFontMetricsF metrics(name_font(true));  // Any may be chosen.
    double widest = 0;
    for (std::size_t i = 0; i < m_order.sizes()->rows.size(); ++i) {
        widest = std::max(widest, metrics.horizontalAdvance(name(i)));
    }
    return std::ceil(widest) + 2;
}

std::vector<QRectF> FrameDrawing::frames() const {
    std::vector<QRectF> result;
    if (!m_order.sizes()) return result;
    double widest = 1, highest = 1;
    for (const plan::SizeRow& row : m_order.sizes()->rows) {
        widest = std::max(widest, row.size.width.value);
        highest = std::max(highest, row.size.height.value);
    }
    const double across = std::max(60.0, width() - names_width() - gutter - 2);
    const double scale = std::min(across / widest, (height() - 2) / highest);
    for (const plan::SizeRow& row : m_order.sizes()->rows) {
        const double w = row.size.width.value * scale, h = row.size.height.value * scale;
        result.emplace_back(1, height() - 1 - h, w, h);
    }
    return result;
}

std::vector<QRectF> FrameDrawing::labels() const {
    const auto all = frames();
    std::vector<std::size_t> downwards(all.size());
    std::iota(downwards.begin(), downwards.end(), std::size_t{0});
    // Of those equally high the wider one stands above: the lines to them do not cross.
    std::sort(downwards.begin(), downwards.end(), [&](std::size_t a, std::size_t b) {
        return std::pair(all[a].top(), -all[a].width()) < std::pair(all[b].top(), -all[b].width());
    });
    double right = 0;
    for (const QRectF& frame : all) right = std::max(right, frame.right());
    const double line = line_height();
    std::vector<QRectF> result(all.size());
    double free_from = 0;
    for (const std::size_t i : downwards) {
        const double top = std::max(free_from, all[i].top() - line / 2);
        result[i] = QRectF(right + gutter, top, width() - right - gutter, line);
        free_from = top + line;
    }
    double free_to = height();
    for (auto i = downwards.rbegin(); i != downwards.rend(); ++i) {
        if (result[*i].bottom() > free_to) result[*i].moveBottom(free_to);
        free_to = result[*i].top();
    }
    return result;
}

int FrameDrawing::at(QPointF point) const {
    const auto names = labels();
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (names[i].contains(point)) return static_cast<int>(i);
    }
    const auto all = frames();
    const auto area = [](const QRectF& of) { return of.width() * of.height(); };
    int found = -1;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!all[i].contains(point)) continue;
        if (found < 0 || area(all[i]) < area(all[static_cast<std::size_t>(found)])) found = static_cast<int>(i);
    }
    return found;
}

void FrameDrawing::paintEvent(QPaintEvent*) {
    if (!m_order.sizes()) return;
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const Tones& t = tones();
    const auto all = frames();
    const auto names = labels();
    const int current = current_row(m_order);
    double right = 0;
    for (const QRectF& frame : all) right = std::max(right, frame.right());
    // Under all lines: what is chosen may hold smaller ones.
    if (current >= 0) painter.fillRect(all[static_cast<std::size_t>(current)], t.line);
    for (std::size_t i = 0; i < all.size(); ++i) {
        const bool is_current = static_cast<int>(i) == current;
        const bool is_lit = is_current || static_cast<int>(i) == m_lit;
        const bool is_too_little = m_order.sizes()->rows[i].below_least_ppi;
        painter.setPen(QPen(is_lit ? t.ink : t.edge, is_lit ? 2 : 1, is_too_little ? Qt::DotLine : Qt::SolidLine));
        painter.drawRect(all[i]);
        painter.setPen(QPen(is_lit ? t.ink : t.edge, is_lit ? 1.4 : 0.5));
        const double y = names[i].center().y();
        painter.drawPolyline(
            QPolygonF({all[i].topRight(), QPointF(right + 2, all[i].top()), QPointF(names[i].left() - 4, y)}));
        QFont font = name_font(is_current);
        font.setUnderline(static_cast<int>(i) == m_lit);
        painter.setFont(font);
        painter.setPen(is_lit ? t.ink : t.quiet_ink);
        painter.drawText(names[i], Qt::AlignVCenter | Qt::AlignLeft, name(i));
    }
    if (hasFocus()) {
        painter.setRenderHint(QPainter::Antialiasing, false);
        painter.setPen(QPen(t.ink, 1, Qt::DotLine));
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(rect().adjusted(0, 0, -1, -1));
    }
}

void FrameDrawing::mouseMoveEvent(QMouseEvent* event) { light(at(event->position())); }

void FrameDrawing::mousePressEvent(QMouseEvent* event) {
    const int row = at(event->position());
    if (row >= 0) emit chosen(row);
}

void FrameDrawing::leaveEvent(QEvent*) { light(-1); }

void FrameDrawing::focusOutEvent(QFocusEvent* event) {
    light(-1);
    QWidget::focusOutEvent(event);
}

void FrameDrawing::keyPressEvent(QKeyEvent* event) {
    const int count = m_order.sizes() ? static_cast<int>(m_order.sizes()->rows.size()) : 0;
    const int now = m_lit >= 0 ? m_lit : current_row(m_order);
    const auto go_to = [&](int row) { light(std::clamp(row, 0, count - 1)); };
    switch (count == 0 ? Qt::Key_unknown : event->key()) {
        case Qt::Key_Right:
        case Qt::Key_Up: go_to(now + 1); return;
        case Qt::Key_Left:
        case Qt::Key_Down: go_to(now - 1); return;
        case Qt::Key_Home: go_to(0); return;
        case Qt::Key_End: go_to(count - 1); return;
        case Qt::Key_Return:
        case Qt::Key_Enter:
        case Qt::Key_Space:
            if (m_lit >= 0) emit chosen(m_lit);
            return;
        case Qt::Key_Escape: light(-1); return;
        default: QWidget::keyPressEvent(event);
    }
}

SizeFrames::SizeFrames(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::small);
    m_drawing = new FrameDrawing(order, this);
    m_words = new QLabel(this);
    m_words->setWordWrap(true);
    m_words->setMinimumHeight(QFontMetrics(font_of(Text::body)).lineSpacing() * 3 + 4);
    m_words->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    layout->addWidget(m_drawing);
    layout->addWidget(m_words);
    connect(m_drawing, &FrameDrawing::lit, this, &SizeFrames::show_row);
    connect(m_drawing, &FrameDrawing::chosen, this, &SizeFrames::choose);
    for (auto change : {&Order::sizes_changed, &Order::words_changed, &Order::picture_changed}) {
        connect(&m_order, change, this, &SizeFrames::show_sizes);
    }
    show_sizes();
}

void SizeFrames::show_sizes() {
    m_drawing->fit();
    show_row(m_drawing->lit_row());
}

void SizeFrames::show_row(int row) {
    const int shown = row >= 0 ? row : current_row(m_order);
    if (!m_order.sizes() || shown < 0 || shown >= static_cast<int>(m_order.sizes()->rows.size())) {
        m_words->setText({});
        emit looked_at({});
        return;
    }
    const plan::SizeRow& size = m_order.sizes()->rows[static_cast<std::size_t>(shown)];
    const base::ShownUnits units = m_order.bridge().workplace().units;
    m_words->setText(QStringLiteral("<b>%1</b>: %2")
                         .arg(QString::fromStdString(base::size_text(size.size, units)).toHtmlEscaped(),
                              verdict(size, units).toHtmlEscaped()));
    if (row >= 0)
        emit looked_at({size.size.width.value, size.size.height.value});
    else
        emit looked_at({});
}

void SizeFrames::choose(int row) {
    if (!m_order.sizes() || row < 0 || row >= static_cast<int>(m_order.sizes()->rows.size())) return;
    m_order.set_word(
        tr("size"), "size",
        QString::fromStdString(jobs::size_word(m_order.sizes()->rows[static_cast<std::size_t>(row)].size)));
}

}  // namespace hangtrue::desktop
