// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A shop's text file, edited as it stands: held against the rules a moment after each change, the place of a mistake
/// marked, saved only when it is in order.

#include <QTimer>
#include <QWidget>

#include "engine/jobs/shop_editing.h"

class QLabel;
class QPlainTextEdit;
class QPushButton;

namespace hangtrue::desktop {

class Bridge;

class ShopFileEditor : public QWidget {
    Q_OBJECT
  public:
    ShopFileEditor(Bridge& bridge, QWidget* parent);

    /// What is not saved of the file before is lost: ask has_changes() first.
    void show_file(const jobs::ShopText& file);
    bool has_changes() const;
    QString text() const;
    void set_text(const QString& text);
    /// Nothing happens to a file that is not in order.
    void save();
    /// The mistake's sentence, or that all is in order.
    QString words() const;
    /// Shows the part of the file where its medium of that number, counted from 0, begins.
    void show_medium(int number);

  signals:
    /// The text was held against the rules.
    void was_checked(bool is_in_order);
    void was_saved();

  private:
    void check();
    void mark_line(int line);

    Bridge& m_bridge;
    QPlainTextEdit* m_edit;
    QLabel* m_words;
    QPushButton* m_save;
    QTimer m_pause;
    std::filesystem::path m_file;
    std::string m_on_disk;
};

}  // namespace hangtrue::desktop
