// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A shop's text file, edited as it stands: held against the rules a moment after each change, the place of a mistake
/// marked, saved only when it is in order.

#include <QTimer>
#include <QWidget>
#include <map>
#include <string>

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

    /// What is not saved of the file before is kept, and there again when that file is shown again.
    void show_file(const jobs::ShopText& file);
    /// Of the file that is shown; and of any.
    bool has_changes() const;
    bool has_unsaved_files() const;
    bool has_unsaved(const std::filesystem::path& file) const;
    /// The text as it is on the disk again.
    void give_up_changes();
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
    /// A file came to have unsaved words, or has none any more.
    void unsaved_changed();

  private:
    /// What was written and not saved, and the text that it was written over.
    struct Draft {
        std::string text;
        std::string on_disk;
    };
    void keep_draft();
    void check();
    void mark_line(int line);

    Bridge& m_bridge;
    QPlainTextEdit* m_edit;
    QLabel* m_words;
    QPushButton* m_save;
    QPushButton* m_give_up;
    std::map<std::filesystem::path, Draft> m_drafts;  ///< Of the files that are not shown.
    bool m_had_changes = false;
    QTimer m_pause;
    std::filesystem::path m_file;
    std::string m_on_disk;
};

}  // namespace hangtrue::desktop
