// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The wall before a picture hangs on it: it says what to do.

#include <QWidget>

class QLabel;
class QPushButton;

namespace hangtrue::desktop {

class EmptyWall : public QWidget {
    Q_OBJECT
  public:
    explicit EmptyWall(bool has_demo, QWidget* parent);
    /// What went wrong with the last picture; empty: nothing.
    void set_trouble(const QString& sentence);
    /// "opening …": nothing can be chosen meanwhile.
    void set_working(const QString& what);

  signals:
    void wants_picture();
    void wants_demo();

  protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;

  private:
    QRectF frame() const;
    QWidget* m_inside;
    QLabel* m_heading;
    QLabel* m_trouble;
    QPushButton* m_open;
    QPushButton* m_demo = nullptr;
};

}  // namespace hangtrue::desktop
