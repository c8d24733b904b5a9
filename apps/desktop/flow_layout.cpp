// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/flow_layout.h"

#include <algorithm>
#include <utility>

namespace hangtrue::desktop {

FlowLayout::FlowLayout(QWidget* parent, int word_gap, int line_gap)
    : QLayout(parent), m_word_gap(word_gap), m_line_gap(line_gap) {
    setContentsMargins(0, 0, 0, 0);
}

FlowLayout::~FlowLayout() {
    for (const Entry& entry : m_items) delete entry.item;
}

void FlowLayout::addItem(QLayoutItem* item) { m_items.push_back({item, std::exchange(m_join_next, false)}); }

QLayoutItem* FlowLayout::itemAt(int index) const {
    return index >= 0 && index < count() ? m_items[static_cast<std::size_t>(index)].item : nullptr;
}

QLayoutItem* FlowLayout::takeAt(int index) {
    if (index < 0 || index >= count()) return nullptr;
    QLayoutItem* item = m_items[static_cast<std::size_t>(index)].item;
    m_items.erase(m_items.begin() + index);
    return item;
}

QSize FlowLayout::minimumSize() const {
    QSize size;
    for (const Entry& entry : m_items) size = size.expandedTo(entry.item->minimumSize());
    return size;
}

void FlowLayout::setGeometry(const QRect& rect) {
    QLayout::setGeometry(rect);
    laid_out(rect, true);
}

int FlowLayout::laid_out(const QRect& rect, bool place) const {
    int x = rect.x(), y = rect.y(), line = 0;
    for (std::size_t i = 0; i < m_items.size(); ++i) {
        const Entry& entry = m_items[i];
        if (entry.item->isEmpty()) continue;
        const QSize size = entry.item->sizeHint();
        // A word stays with the comma behind it.
        int with_joined = size.width();
        for (std::size_t j = i + 1; j < m_items.size() && m_items[j].is_joined; ++j) {
            with_joined += m_items[j].item->sizeHint().width();
        }
        const int gap = entry.is_joined || x == rect.x() ? 0 : m_word_gap;
        if (!entry.is_joined && x > rect.x() && x + gap + with_joined > rect.right() + 1) {
            x = rect.x();
            y += line + m_line_gap;
            line = 0;
        } else {
            x += gap;
        }
        if (place)
            entry.item->setGeometry(QRect(QPoint(x, y), QSize(std::min(size.width(), rect.width()), size.height())));
        x += size.width();
        line = std::max(line, size.height());
    }
    return y + line - rect.y();
}

}  // namespace hangtrue::desktop
