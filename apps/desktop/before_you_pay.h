// SPDX-License-Identifier: Apache-2.0
#pragma once

/// "Before you pay": what was found, numbered as the flags on the print are, each with its way out.

#include <QWidget>

class QLabel;
class QVBoxLayout;

namespace hangtrue::desktop {

class Order;

class BeforeYouPay : public QWidget {
    Q_OBJECT
  public:
    BeforeYouPay(Order& order, QWidget* parent);
    /// Scrolls there and gives it the focus.
    void show_finding(int index);

  signals:
    /// The pointer or the focus is on this finding; -1: on none.
    void looked_at(int index);

  protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

  private:
    void show_findings();

    Order& m_order;
    QLabel* m_state;
    QWidget* m_list;
    QVBoxLayout* m_rows;
};

}  // namespace hangtrue::desktop
