// SPDX-License-Identifier: Apache-2.0
#pragma once

/// One line of the queue: what is made, how far it is, and what came of it.

#include <QWidget>
#include <filesystem>
#include <vector>

#include "engine/jobs/make.h"

class QLabel;
class QProgressBar;
class QPushButton;
class QVBoxLayout;

namespace hangtrue::desktop {

/// One print of the queue, from waiting to its file.
class MakeRow : public QWidget {
    Q_OBJECT
  public:
    MakeRow(const QString& title, QWidget* parent);
    void show_progress(const QString& step, double fraction);
    void show_outcome(const jobs::MakeOutcome& outcome, const std::vector<std::filesystem::path>& order_sheets = {});
    void show_end(const QString& sentence);
    bool has_begun() const { return m_has_begun; }
    bool is_over() const { return m_is_over; }

  signals:
    void wants_cancel();
    void wants_again(bool replace, bool anyway);
    void wants_removal();

  private:
    void show_files(const std::vector<jobs::MadeFile>& files, const std::vector<std::filesystem::path>& order_sheets);

    QLabel* m_words;
    QProgressBar* m_bar;
    QPushButton* m_cancel;
    QVBoxLayout* m_layout;
    QWidget* m_results = nullptr;
    bool m_has_begun = false;
    bool m_is_over = false;
};

}  // namespace hangtrue::desktop
