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

class QPushButton;

namespace hangtrue::desktop {

class MakeQueue;
struct MakeJob;
class Order;

class MakePanel : public QWidget {
    Q_OBJECT
  public:
    MakePanel(Order& order, Bridge& bridge, Habits habits, QWidget* parent);
    /// As a press on the button.
    void make();
    /// With the pictures that were opened beside it, as one order.
    void make_all();
    /// The order's findings as pages (PDF).
    void keep_findings(const std::filesystem::path& out);
    /// Enlarging alone: a picture, without a print.
    void enlarge(const jobs::EnlargeRequest& request);
    void set_folder(const QString& folder);
    QString folder() const { return m_folder; }
    /// What is made, whichever page asked for it. It stands in this panel, or where it was lent to.
    MakeQueue& queue() { return *m_queue; }
    void take_queue_back();

  signals:
    void made(const hangtrue::jobs::MakeOutcome& outcome);
    /// By keep_findings or enlarge.
    void file_made(hangtrue::jobs::Ending ending);

  private:
    jobs::MakeRequest request_of_order() const;
    void add_print(const jobs::MakeRequest& request, const QString& title);
    /// What a print of the order that hangs now is told to when it ends.
    std::function<void(const jobs::MakeOutcome&)> when_made();
    void add_file(MakeJob job, const std::filesystem::path& file, bool replace);
    void choose_folder();
    void show_state();

    Order& m_order;
    Bridge& m_bridge;
    Habits m_habits;
    QString m_folder;
    QPushButton* m_make;
    QPushButton* m_make_all;
    QPushButton* m_into;
    MakeQueue* m_queue;
};

}  // namespace hangtrue::desktop
