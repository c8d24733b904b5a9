// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/row_delegate.h"

#include <QPainter>

#include "apps/desktop/style.h"

namespace hangtrue::desktop {
namespace {

constexpr int across = space::small;
constexpr int above = space::hair + 1;

}  // namespace

QSize RowDelegate::sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const {
    const QFontMetrics metrics(option.font);
    const QString text = index.data().toString();
    if ((option.features & QStyleOptionViewItem::WrapText) != 0 && option.rect.width() > 2 * across) {
        const QRect room(0, 0, option.rect.width() - 2 * across, 10000);
        return {option.rect.width(), metrics.boundingRect(room, Qt::TextWordWrap, text).height() + 2 * above};
    }
    const QStringList lines = text.split(QLatin1Char('\n'));
    int width = 0;
    for (const QString& line : lines) width = std::max(width, metrics.horizontalAdvance(line));
    const int height = metrics.height() + static_cast<int>(lines.size() - 1) * metrics.lineSpacing();
    return {width + 2 * across, height + 2 * above};
}

void RowDelegate::paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const {
    QStyleOptionViewItem row = option;
    initStyleOption(&row, index);
    const bool is_marked = (option.state & QStyle::State_Selected) != 0;
    painter->save();
    painter->setClipRect(option.rect);
    if (is_marked) painter->fillRect(option.rect, tones().ink);
    const QVariant own_ink = index.data(Qt::ForegroundRole);
    painter->setPen(is_marked ? tones().ground : own_ink.isValid() ? own_ink.value<QBrush>().color() : tones().ink);
    painter->setFont(row.font);
    const QRect inside = option.rect.adjusted(across, 0, -across, 0);
    const QString text = index.data().toString();
    if ((row.features & QStyleOptionViewItem::WrapText) != 0) {
        painter->drawText(inside, Qt::AlignLeft | Qt::AlignVCenter | Qt::TextWordWrap, text);
    } else {
        QStringList lines = text.split(QLatin1Char('\n'));
        for (QString& line : lines) {
            line = painter->fontMetrics().elidedText(line, option.textElideMode, inside.width());
        }
        painter->drawText(inside, Qt::AlignLeft | Qt::AlignVCenter, lines.join(QLatin1Char('\n')));
    }
    painter->restore();
}

}  // namespace hangtrue::desktop
