// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ledger: what was made, searched, read again, made again.

#include <QString>
#include <QWidget>
#include <cstdint>
#include <filesystem>
#include <optional>

#include "engine/jobs/kept_wishes.h"
#include "engine/jobs/verify.h"

class QLabel;
class QLineEdit;
class QPushButton;
class QTableView;

namespace hangtrue::jobs {
struct ListedRecord;
}

namespace hangtrue::desktop {

class Bridge;
class LedgerModel;
class MakeQueue;
class TaskLine;

class LedgerPage : public QWidget {
    Q_OBJECT
  public:
    LedgerPage(Bridge& bridge, MakeQueue& queue, QWidget* parent);

    void search(const QString& words);
    /// Makes the record's print file again, into `folder`, in the queue; says how alike it is, or why not.
    void make_again(std::int64_t id, const std::filesystem::path& folder);
    /// The picture of the last one could not be found: it is searched below `folder` by what it holds.
    void look_for_picture_in(const std::filesystem::path& folder);
    /// Reads the marked record's file again and holds it against the record.
    void verify_marked();
    void mark(int row);
    /// Hangs the marked record's picture with the order that it was made by.
    void hang_marked();
    const LedgerModel& model() const { return *m_model; }
    /// What was said last.
    QString words() const;

  signals:
    /// Hang this picture on the wall, with this order.
    void order_chosen(const QString& path, const hangtrue::jobs::WishWords& order);
    /// A list was read; for tests.
    void was_read();
    /// Making again or verifying came to its end.
    void was_answered();

  protected:
    void showEvent(QShowEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;

  private:
    void read();
    void choose_folder_and_make_again();
    void make_again(const jobs::AgainRequest& request);
    void mark_changed();
    const jobs::ListedRecord* marked() const;
    /// The columns share the table's width; until somebody draws one wider.
    void share_width();

    Bridge& m_bridge;
    MakeQueue& m_queue;
    LedgerModel* m_model;
    QTableView* m_view;
    QLineEdit* m_search;
    QLabel* m_details;
    QLabel* m_words;
    TaskLine* m_reading;
    QPushButton* m_again;
    QPushButton* m_show;
    QPushButton* m_verify;
    QPushButton* m_hang;
    QPushButton* m_look;
    std::optional<jobs::AgainRequest> m_lost;  ///< Whose picture was not found.
    bool m_is_known = false;                   ///< The ledger was read: an empty list is an empty ledger.
    bool m_is_shared = false;
    bool m_is_sharing = false;  ///< It is the page that sets the widths.
    bool m_is_drawn = false;    ///< Somebody drew a column: its width stays.
};

}  // namespace hangtrue::desktop
