// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shops and media: what is known, what is to be asked, the letter, and the file itself.

#include <QString>
#include <QWidget>
#include <filesystem>

#include "engine/jobs/sheet_list.h"
#include "engine/jobs/shop_editing.h"

class QButtonGroup;
class QLabel;
class QPlainTextEdit;
class QPushButton;
class QStackedWidget;
class QTableWidget;
class QTreeView;

namespace hangtrue::desktop {

class Bridge;
class OpenQuestions;
class ShopFileEditor;
class ShopModel;

class ShopsPage : public QWidget {
    Q_OBJECT
  public:
    ShopsPage(Bridge& bridge, QWidget* parent);

    enum class View { known, questions, letter, file };

    void refresh();
    /// Begins a file for a shop of that name and shows its text.
    void begin_shop(const QString& name);
    /// Lays the two invented shops into the data folder.
    void add_demo_shops();
    void mark(const QString& shop_id, const QString& medium_id = QString());
    void show_view(View view);
    const ShopModel& model() const { return *m_model; }
    ShopFileEditor& editor() { return *m_editor; }
    OpenQuestions& questions() { return *m_questions; }
    QString letter() const;
    QString words() const;

  signals:
    /// Shops were begun, changed or taken away: the print's choices may have changed.
    void shops_changed();

  protected:
    void showEvent(QShowEvent* event) override;

  private:
    QWidget* left_side();
    QWidget* right_side();
    void mark_changed();
    void show_known(const jobs::ShopText& shop, int medium);
    /// Whether test prints told of the medium.
    QString test_words(const shops::Shop& shop, const shops::Medium& medium) const;
    void ask_name();
    const jobs::ShopText* marked_shop() const;

    Bridge& m_bridge;
    ShopModel* m_model;
    QTreeView* m_tree;
    QLabel* m_title;
    QLabel* m_words;
    QButtonGroup* m_views;
    QStackedWidget* m_stack;
    QTableWidget* m_facts;
    QTableWidget* m_prices;
    QPlainTextEdit* m_letter;
    OpenQuestions* m_questions;
    ShopFileEditor* m_editor;
    bool m_was_read = false;
    QString m_wanted_shop;  ///< To be marked when the list comes.
    QString m_wanted_medium;
    std::vector<jobs::ListedSheet> m_sheets;
    std::filesystem::path m_edited;  ///< Whose text the editor shows.
};

}  // namespace hangtrue::desktop
