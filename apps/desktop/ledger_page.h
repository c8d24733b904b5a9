// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ledger: what was made, searched, read again, made again.

#include <QString>
#include <QWidget>
#include <cstdint>
#include <filesystem>

class QLabel;
class QLineEdit;
class QPushButton;
class QTableView;

namespace hangtrue::ledger {
struct Row;
}

namespace hangtrue::desktop {

class Bridge;
class LedgerModel;

class LedgerPage : public QWidget {
    Q_OBJECT
  public:
    LedgerPage(Bridge& bridge, QWidget* parent);

    void search(const QString& words);
    /// Makes the record's print file again, into `folder`; says how alike it is, or why not.
    void make_again(std::int64_t id, const std::filesystem::path& folder);
    /// Reads the marked record's file again and holds it against the record.
    void verify_marked();
    void mark(int row);
    const LedgerModel& model() const { return *m_model; }
    /// What was said last.
    QString words() const;

  signals:
    /// Hang this picture on the wall, with the wish that was kept for it.
    void picture_chosen(const QString& path);
    /// A list was read; for tests.
    void was_read();
    /// Making again or verifying came to its end.
    void was_answered();

  protected:
    void showEvent(QShowEvent* event) override;

  private:
    void read();
    void choose_folder_and_make_again();
    void mark_changed();
    const ledger::Row* marked() const;

    Bridge& m_bridge;
    LedgerModel* m_model;
    QTableView* m_view;
    QLineEdit* m_search;
    QLabel* m_details;
    QLabel* m_words;
    QPushButton* m_again;
    QPushButton* m_show;
    QPushButton* m_verify;
    QPushButton* m_hang;
};

}  // namespace hangtrue::desktop
