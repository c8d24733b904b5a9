// SPDX-License-Identifier: Apache-2.0
#pragma once

/// One line of a page for one task that takes a while: what it does, how far it is, and a way to stop it. Gone while
/// nothing runs.

#include <QWidget>

#include "apps/desktop/bridge.h"

class QLabel;
class QProgressBar;
class QPushButton;

namespace hangtrue::desktop {

class TaskLine : public QWidget {
    Q_OBJECT
  public:
    explicit TaskLine(QWidget* parent);

    /// Shows itself until end().
    void begin(const QString& words);
    /// What is stopped by the line's button.
    void set_task(const TaskHandle& task) { m_task = task; }
    void show_progress(const base::ProgressReport& report);
    void end();
    /// As a press on the button.
    void cancel();
    QString words() const;

  private:
    QLabel* m_words;
    QProgressBar* m_bar;
    QPushButton* m_cancel;
    QString m_what;
    TaskHandle m_task;
};

}  // namespace hangtrue::desktop
