// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The order as one sentence, edited in place: each part opens what can be chosen there.

#include <QWidget>
#include <array>
#include <vector>

class QLabel;
class QPushButton;

namespace hangtrue::desktop {

class Order;
class PartPopup;

/// The parts of the sentence, in its order.
enum class Part { picture, medium, shop, size, quantity, edges, distance };

class OrderSentence : public QWidget {
    Q_OBJECT
  public:
    OrderSentence(Order& order, QWidget* parent);
    /// As a click on it.
    void open_part(Part part);
    QPushButton* button(Part part) const { return m_parts[static_cast<std::size_t>(part)]; }
    /// The whole sentence as it reads.
    QString text() const;

  signals:
    void wants_picture();
    void wants_crop();
    void wants_enlarging();  ///< Of the picture alone.

  private:
    void show_words();
    void add_words(const QString& text, bool joined);
    void add_part(Part part, const QString& name, const QString& key);

    Order& m_order;
    std::array<QPushButton*, 7> m_parts{};
    std::vector<QLabel*> m_between;
};

}  // namespace hangtrue::desktop
