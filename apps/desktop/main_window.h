// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The window: five places, one at a time. The print is the first; the others serve it.

#include <QMainWindow>
#include <filesystem>
#include <vector>

#include "apps/desktop/bridge.h"
#include "apps/desktop/settings.h"
#include "engine/jobs/kept_wishes.h"

class QButtonGroup;
class QLabel;
class QStackedWidget;
class QVBoxLayout;

namespace hangtrue::desktop {

class LedgerPage;
class PicturesPage;
class PrintPage;
class ShopsPage;
class TestsPage;

enum class Place { print, pictures, shops, tests, ledger };

class MainWindow : public QMainWindow {
    Q_OBJECT
  public:
    MainWindow(Bridge& bridge, Habits habits, QWidget* parent = nullptr);

    void open(const std::vector<std::filesystem::path>& pictures);
    void go_to(Place place);
    PrintPage& print_page() { return *m_print; }
    PicturesPage& pictures_page() { return *m_pictures; }
    ShopsPage& shops_page() { return *m_shops; }
    TestsPage& tests_page() { return *m_tests; }
    LedgerPage& ledger_page() { return *m_ledger; }

  protected:
    /// While files are being made it asks first.
    void closeEvent(QCloseEvent* event) override;
    void showEvent(QShowEvent* event) override;

  private:
    QWidget* places_row();
    /// The queue of what is made stands beside the print that hangs, and at the foot of every other place.
    void place_queue();
    void switch_grey();
    void switch_units();
    /// Which screen the window is on, and its profile.
    void ask_screen();

    Bridge& m_bridge;
    Habits m_habits;
    QStackedWidget* m_stack;
    QButtonGroup* m_places;
    QLabel* m_screen;
    QWidget* m_foot;  ///< Holds the queue where it does not stand beside the print.
    QVBoxLayout* m_foot_layout;
    bool m_was_shown = false;
    PrintPage* m_print;
    PicturesPage* m_pictures;
    ShopsPage* m_shops;
    TestsPage* m_tests;
    LedgerPage* m_ledger;
};

}  // namespace hangtrue::desktop
