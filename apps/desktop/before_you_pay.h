// SPDX-License-Identifier: Apache-2.0
#pragma once

/// "Before you pay": what was found, numbered as the flags on the print are, each with its way out.

#include <QWidget>
#include <optional>

class QLabel;
class QPushButton;
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
    /// The findings are to be kept as pages.
    void wants_pages();

  protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

  private:
    void show_findings();
    void remember_focus();
    void give_focus_back();
    void scroll_to(QWidget* row);

    Order& m_order;
    QLabel* m_state;
    QWidget* m_list;
    QVBoxLayout* m_rows;
    QPushButton* m_keep;
    /// Where the focus was when the rows were taken away: which finding, where it stood, whether on its button.
    struct Focus {
        QString finding;
        int row = 0;
        bool is_on_button = false;
    };
    std::optional<Focus> m_focus;
};

}  // namespace hangtrue::desktop
