// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Words of a sentence: one after the other, over as many lines as it takes.

#include <QLayout>
#include <vector>

namespace hangtrue::desktop {

class FlowLayout : public QLayout {
  public:
    FlowLayout(QWidget* parent, int word_gap, int line_gap);
    ~FlowLayout() override;
    /// The next item begins right after the one before, without a gap: commas.
    void join_next() { m_join_next = true; }

    void addItem(QLayoutItem* item) override;
    int count() const override { return static_cast<int>(m_items.size()); }
    QLayoutItem* itemAt(int index) const override;
    QLayoutItem* takeAt(int index) override;
    bool hasHeightForWidth() const override { return true; }
    int heightForWidth(int width) const override { return laid_out(QRect(0, 0, width, 0), false); }
    QSize sizeHint() const override { return minimumSize(); }
    QSize minimumSize() const override;
    void setGeometry(const QRect& rect) override;
    Qt::Orientations expandingDirections() const override { return {}; }

  private:
    struct Entry {
        QLayoutItem* item;
        bool is_joined;
    };
    int laid_out(const QRect& rect, bool place) const;

    std::vector<Entry> m_items;
    int m_word_gap, m_line_gap;
    bool m_join_next = false;
};

}  // namespace hangtrue::desktop
