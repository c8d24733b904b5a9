// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Several prints at once: one order for several pictures, or a list that was written as a file. Says of each picture
/// what the order comes to before anything is made; then each goes into the queue by itself.

#include <QDialog>
#include <QStringList>
#include <filesystem>
#include <vector>

#include "apps/desktop/bridge.h"
#include "engine/jobs/make.h"
#include "engine/jobs/shop_editing.h"

class QLabel;
class QLineEdit;
class QPushButton;
class QSpinBox;
class QTableWidget;

namespace hangtrue::desktop {

class MakeQueue;
class MediumChooser;

class ManyPrints : public QDialog {
    Q_OBJECT
  public:
    ManyPrints(Bridge& bridge, MakeQueue& queue, const QString& folder, QWidget* parent);

    /// The same order for all of them, chosen here.
    void show_pictures(std::vector<std::filesystem::path> pictures);
    /// The orders that the list holds (jobs::requests_from_list).
    void show_list(const std::filesystem::path& list);
    /// Begins with that order.
    void choose(const QString& shop_id, const QString& medium_id, const QString& size_name);
    void set_folder(const QString& folder);
    QString folder() const;
    /// All into the queue; the window closes.
    void make();
    int count() const { return static_cast<int>(m_pictures.size()); }
    /// What is said of the picture in that line.
    QString words_of(int line) const;
    QString words() const;

  signals:
    /// What is said of each picture stands there.
    void was_looked_at();

  private:
    struct Looked;  ///< What is said of each, and of the whole.
    void ask_for_shops();
    void look();
    void show_lines();
    std::vector<jobs::MakeRequest> requests() const;

    Bridge& m_bridge;
    MakeQueue& m_queue;
    std::vector<std::filesystem::path> m_pictures;
    std::vector<jobs::MakeRequest> m_listed;  ///< Of a list; empty where one order holds for all.
    std::filesystem::path m_list;
    std::vector<QString> m_said;
    TaskHandle m_looking;
    int m_turn = 0;        ///< Counts the choices that were looked at.
    QStringList m_wanted;  ///< Shop, medium and size to begin with.
    QLabel* m_heading;
    QWidget* m_order_lines;
    MediumChooser* m_order;
    QSpinBox* m_prints;
    QLineEdit* m_folder;
    QTableWidget* m_table;
    QLabel* m_words;
    QPushButton* m_make;
};

}  // namespace hangtrue::desktop
