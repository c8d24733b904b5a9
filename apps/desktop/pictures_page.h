// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The pictures: thumbnails, folders, and the largest good size at a glance.

#include <QStringList>
#include <QWidget>

#include "apps/desktop/bridge.h"
#include "apps/desktop/settings.h"

class QLabel;
class QLineEdit;
class QListView;
class QPushButton;
class QSortFilterProxyModel;

namespace hangtrue::desktop {

class MakeQueue;
class ManyPrints;
class PictureModel;

class PicturesPage : public QWidget {
    Q_OBJECT
  public:
    PicturesPage(Bridge& bridge, MakeQueue& queue, Habits habits, QWidget* parent);

    /// Files and folders; of a folder all pictures that lie in it, those of later days too. Kept between runs. A list
    /// of prints (a file that ends with .toml) is opened as such.
    void add(const QStringList& paths);
    /// One order for all that are marked; null where none is. It shows itself until it is answered.
    ManyPrints* begin_prints_of_marked();
    ManyPrints* begin_prints_of_list(const QString& file);
    /// What is marked goes from the list; the files stay where they are.
    void remove_marked();
    /// Reads folders and headers anew.
    void refresh();
    const PictureModel& model() const { return *m_model; }

  signals:
    /// Hang this picture on the wall, with the wish that was kept for it.
    void picture_chosen(const QString& path);

  protected:
    void dragEnterEvent(QDragEnterEvent* event) override;
    void dropEvent(QDropEvent* event) override;
    void showEvent(QShowEvent* event) override;
    void hideEvent(QHideEvent* event) override;

  private:
    void choose_files();
    void choose_folder();
    void hang_current();
    void choose_list();
    ManyPrints* new_prints();
    void ask_for_thumbnail();
    /// Measures one after the other while the page is looked at, and no longer: others wait for the same worker.
    void ask_for_detail();
    void say_what_to_do();
    void keep() const;

    Bridge& m_bridge;
    PictureModel* m_model;
    QSortFilterProxyModel* m_found;
    QListView* m_view;
    QLineEdit* m_search;
    QLabel* m_words;
    QPushButton* m_hang;
    QPushButton* m_remove;
    QPushButton* m_print_all;
    MakeQueue& m_queue;
    Habits m_habits;
    bool m_is_known = false;  ///< The list was read: an empty one is empty.
    QStringList m_kept;       ///< Files and folders, in the order in which they were added.
    bool m_was_shown = false;
    bool m_is_drawing = false;  ///< A thumbnail is under way.
    TaskHandle m_measuring;
};

}  // namespace hangtrue::desktop
