// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/size_frames.h"

#include <QLabel>
#include <QMouseEvent>
#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

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

FrameDrawing::FrameDrawing(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    setMouseTracking(true);
    setFixedHeight(150);
    setCursor(Qt::PointingHandCursor);
    setAccessibleName(tr("Sizes, drawn to scale"));
    setToolTip(tr("A click takes the size; the list opens from the sentence (Alt+Z)"));
}

void FrameDrawing::set_lit(int row) {
    m_lit = row;
    update();
}

std::vector<QRectF> FrameDrawing::frames() const {
    std::vector<QRectF> result;
    if (!m_order.sizes()) return result;
    double widest = 1, highest = 1;
    for (const plan::SizeRow& row : m_order.sizes()->rows) {
        widest = std::max(widest, row.size.width.value);
        highest = std::max(highest, row.size.height.value);
    }
    const double scale = std::min((width() - 2) / widest, (height() - 2) / highest);
    for (const plan::SizeRow& row : m_order.sizes()->rows) {
        const double w = row.size.width.value * scale, h = row.size.height.value * scale;
        result.emplace_back((width() - w) / 2, height() - 1 - h, w, h);
    }
    return result;
}

int FrameDrawing::at(QPointF point) const {
    const auto all = frames();
    int found = -1;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!all[i].contains(point)) continue;
        if (found < 0 || all[i].width() * all[i].height() < all[static_cast<std::size_t>(found)].width() *
                                                                all[static_cast<std::size_t>(found)].height()) {
            found = static_cast<int>(i);
        }
    }
    return found;
}

void FrameDrawing::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const Tones& t = tones();
    const auto all = frames();
    const int current = current_row(m_order);
    for (std::size_t i = 0; i < all.size(); ++i) {
        const bool is_current = static_cast<int>(i) == current;
        const bool is_too_little = m_order.sizes()->rows[i].below_least_ppi;
        if (is_current) painter.fillRect(all[i], t.line);
        painter.setPen(QPen(is_current || static_cast<int>(i) == m_lit ? t.ink : t.edge,
                            is_current || static_cast<int>(i) == m_lit ? 2 : 1,
                            is_too_little ? Qt::DotLine : Qt::SolidLine));
        painter.drawRect(all[i]);
    }
}

void FrameDrawing::mouseMoveEvent(QMouseEvent* event) {
    const int row = at(event->position());
    if (row == m_lit) return;
    set_lit(row);
    emit lit(row);
}

void FrameDrawing::mousePressEvent(QMouseEvent* event) {
    const int row = at(event->position());
    if (row >= 0) emit chosen(row);
}

void FrameDrawing::leaveEvent(QEvent*) {
    set_lit(-1);
    emit lit(-1);
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
    m_drawing->update();
    show_row(-1);
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
