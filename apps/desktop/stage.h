// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where the print is looked at, in one of three ways, a key each; under it the scale, always written.

#include <QWidget>

#include "apps/desktop/settings.h"

class QButtonGroup;
class QLabel;
class QPushButton;
class QStackedWidget;

namespace hangtrue::desktop {

class CropView;
class FileView;
class Order;
class WallView;

enum class Look { wall, true_size, dots };

class Stage : public QWidget {
    Q_OBJECT
  public:
    Stage(Order& order, Habits habits, QWidget* parent);
    void look(Look way);
    Look way() const { return m_way; }
    void begin_crop();
    void end_crop(bool take);
    WallView& wall() { return *m_wall; }
    FileView& file_view() { return *m_file; }
    CropView& crop_view() { return *m_crop; }

  signals:
    void finding_chosen(int index);

  private:
    void show_scale();
    void measure_screen();
    void choose_room();

    Order& m_order;
    Habits m_habits;
    Look m_way = Look::wall;
    QStackedWidget* m_stack;
    QButtonGroup* m_ways;
    WallView* m_wall;
    FileView* m_file;
    CropView* m_crop;
    QLabel* m_scale;
    QWidget* m_row;
    QWidget* m_crop_row;
    QPushButton* m_card;
    QPushButton* m_room;
    QPushButton* m_hatch;
};

}  // namespace hangtrue::desktop
