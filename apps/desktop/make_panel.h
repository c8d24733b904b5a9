// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Making: one press makes the file; the queue below shows how far each is, and what came of it.

#include <QWidget>
#include <filesystem>
#include <functional>

#include "apps/desktop/bridge.h"
#include "apps/desktop/settings.h"
#include "engine/jobs/look.h"
#include "engine/jobs/make.h"

class QLabel;
class QProgressBar;
class QPushButton;
class QScrollArea;
class QVBoxLayout;

namespace hangtrue::desktop {

class Order;

/// One print of the queue, from waiting to its file.
class MakeRow : public QWidget {
    Q_OBJECT
  public:
    MakeRow(const QString& title, QWidget* parent);
    void show_progress(const QString& step, double fraction);
    void show_outcome(const jobs::MakeOutcome& outcome);
    void show_end(const QString& sentence);
    /// A file that is no print: made, or why not.
    void show_file(const jobs::Ended& ended, const std::filesystem::path& file, const QString& sentence);
    bool is_over() const { return m_is_over; }

  signals:
    void wants_cancel();
    void wants_again(bool replace, bool anyway);
    void wants_removal();

  private:
    void show_files(const std::vector<jobs::MadeFile>& files);

    QLabel* m_words;
    QProgressBar* m_bar;
    QPushButton* m_cancel;
    QVBoxLayout* m_layout;
    QWidget* m_results = nullptr;
    bool m_is_over = false;
};

class MakePanel : public QWidget {
    Q_OBJECT
  public:
    MakePanel(Order& order, Bridge& bridge, Habits habits, QWidget* parent);
    /// As a press on the button.
    void make();
    void make_all(const std::vector<std::filesystem::path>& pictures);
    /// The order's findings as pages (PDF).
    void keep_findings(const std::filesystem::path& out);
    /// Enlarging alone: a picture, without a print.
    void enlarge(const jobs::EnlargeRequest& request);
    void set_folder(const QString& folder);
    QString folder() const { return m_folder; }

  signals:
    void made(const hangtrue::jobs::MakeOutcome& outcome);
    /// By keep_findings or enlarge.
    void file_made(hangtrue::jobs::Ending ending);

  private:
    void queue(const jobs::MakeRequest& request, const QString& title);
    void run(const jobs::MakeRequest& request, MakeRow* row);
    /// `work` makes `file`, and may replace an earlier one where it is told so; `sentence`: what is said then.
    struct PlainFile {
        QString title;
        std::filesystem::path file;
        QString sentence;
        std::function<void(bool replace, jobs::Context&)> work;
    };
    void queue(const PlainFile& plain, bool replace);
    void take_away(MakeRow* row);
    void fit_queue();
    void choose_folder();
    void show_state();

    Order& m_order;
    Bridge& m_bridge;
    Habits m_habits;
    QString m_folder;
    QPushButton* m_make;
    QPushButton* m_make_all;
    QPushButton* m_into;
    QScrollArea* m_queue;
    QVBoxLayout* m_rows;
};

}  // namespace hangtrue::desktop
