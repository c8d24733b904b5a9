// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The print: the order sentence, and under it the print on its wall.

#include <QWidget>
#include <filesystem>
#include <vector>

#include "apps/desktop/bridge.h"
#include "apps/desktop/settings.h"
#include "engine/jobs/kept_wishes.h"

class QLabel;
class QStackedWidget;

namespace hangtrue::desktop {

class BeforeYouPay;
class EmptyWall;
class MakePanel;
class Order;
class OrderSentence;
class Stage;

class PrintPage : public QWidget {
    Q_OBJECT
  public:
    PrintPage(Bridge& bridge, Habits habits, QWidget* parent);

    /// The first is hung; the others wait beside it (Order::others).
    void open(const std::vector<std::filesystem::path>& pictures);
    void open_as(const std::filesystem::path& picture, const jobs::WishWords& wish);
    void open_demo();
    /// Writes what the next few seconds would write anyway.
    void keep_now();

    Order& order() { return *m_order; }
    OrderSentence& sentence() { return *m_sentence; }
    Stage& stage() { return *m_stage; }
    MakePanel& make_panel() { return *m_make; }

  protected:
    void dragEnterEvent(QDragEnterEvent* event) override;
    void dropEvent(QDropEvent* event) override;

  private:
    QWidget* side_column();
    QWidget* head();
    void ask_for_picture();
    void ask_for_pages();
    void ask_for_enlarging();
    void show_state();

    Bridge& m_bridge;
    Habits m_habits;
    Order* m_order;
    OrderSentence* m_sentence;
    QLabel* m_trouble;
    QStackedWidget* m_stack;
    EmptyWall* m_empty;
    Stage* m_stage;
    BeforeYouPay* m_findings;
    MakePanel* m_make;
    QWidget* m_hung;
};

}  // namespace hangtrue::desktop
