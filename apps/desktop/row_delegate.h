// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Rows of lists, trees and tables: text stands in from the edge alike in marked rows and others, so that a marked
/// row has ground around its words. Breaks its lines where the view does.

#include <QStyledItemDelegate>

namespace hangtrue::desktop {

class RowDelegate : public QStyledItemDelegate {
    Q_OBJECT
  public:
    using QStyledItemDelegate::QStyledItemDelegate;
    QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;
    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override;
};

}  // namespace hangtrue::desktop
