// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The queue of what makes files: prints, prints made again, test sheets. Each has a line from waiting to its end, with
/// its progress, and can be cancelled there. One for the window: it stands on whichever place is looked at.

#include <QScrollArea>
#include <QString>
#include <filesystem>
#include <functional>
#include <memory>
#include <vector>

#include "apps/desktop/bridge.h"
#include "engine/jobs/make.h"
#include "engine/jobs/test_sheets.h"
#include "engine/jobs/verify.h"

class QVBoxLayout;

namespace hangtrue::desktop {

class MakeRow;

/// What came of a line of the queue, told as of a print; a sentence beside `done` is shown.
struct Made {
    jobs::MakeOutcome outcome;
    std::vector<std::filesystem::path> order_sheets = {};
};

struct MakeJob {
    QString title;
    /// On the make lane. `replace`, `anyway`: what was pressed after a first end.
    std::function<Made(bool replace, bool anyway, jobs::Context&)> work;
    /// On the user's thread; may be empty.
    std::function<void(const jobs::MakeOutcome&)> done;
    /// It was asked for once more after its end, which `done` told; may be empty.
    std::function<void()> tried_again = {};
};

/// Jobs as the queue takes them. `together`: used on the make lane alone; the order sheet is the caller's then.
MakeJob print_job(const QString& title, const jobs::MakeRequest& request,
                  const std::shared_ptr<jobs::PrintsTogether>& together = {});
MakeJob again_job(const QString& title, const jobs::AgainRequest& request);
MakeJob sheet_job(const QString& title, const jobs::TestSheetRequest& request);
/// A file that is no print: `work` writes it, and replaces an earlier one where it is told so; `sentence`: said then.
MakeJob file_job(const QString& title, const std::filesystem::path& file, const QString& sentence,
                 std::function<void(bool replace, jobs::Context&)> work);

class MakeQueue : public QScrollArea {
    Q_OBJECT
  public:
    MakeQueue(Bridge& bridge, QWidget* parent);

    void add(const MakeJob& job, bool replace = false, bool anyway = false);
    /// Each by itself; where a shop got several of them, its order sheet follows the last, and a new one those that are
    /// made after all.
    void add_prints(const std::vector<jobs::MakeRequest>& requests,
                    const std::function<void(const jobs::MakeOutcome&)>& each_done = {});
    bool is_empty() const;
    /// It grows with its lines to that height, then scrolls.
    void set_most_height(int height);

  signals:
    /// Lines came or went.
    void lines_changed();

  protected:
    void resizeEvent(QResizeEvent* event) override;

  private:
    /// `is_new`: an earlier one lacks some of them.
    void add_order_sheets(const std::vector<jobs::MakeOutcome>& outcomes, bool is_new);
    void take_away(MakeRow* row);
    /// Of many lines, the one whose turn has come.
    void bring_to_sight(MakeRow* row);
    /// As high as its lines, up to the limit; gone where there are none.
    void fit();

    Bridge& m_bridge;
    QVBoxLayout* m_rows;
    int m_most_height = 210;
};

}  // namespace hangtrue::desktop
