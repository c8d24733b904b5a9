// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the window's tests share: a window on a folder of its own, and pictures of it where they are asked for.

#include <QApplication>
#include <QPixmap>
#include <QTest>
#include <QWidget>
#include <atomic>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <thread>

#include "apps/desktop/bridge.h"
#include "apps/desktop/main_window.h"
#include "apps/desktop/settings.h"
#include "apps/desktop/style.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::desktop_test {

/// HANGTRUE_SCREENS=FOLDER keeps a picture of each place that a test comes to.
inline void keep_screen(QWidget& widget, const QString& name) {
    const char* folder = std::getenv("HANGTRUE_SCREENS");
    if (folder == nullptr) return;
    QTest::qWait(60);
    widget.grab().save(QStringLiteral("%1/%2.png").arg(QString::fromLocal8Bit(folder), name));
}

/// A photographer's desk: an empty data folder, a folder for prints, the whole window; and whether the engine was ever
/// entered on the user's thread.
class Desk {
  public:
    explicit Desk(base::ShownUnits units = base::ShownUnits::inches) {
        std::filesystem::create_directories(data());
        desktop::set_look(*qApp, desktop::Grey::dark);
        desktop::Workplace workplace{data(), std::filesystem::path(HANGTRUE_SOURCE_DIR) / "models", 2, units};
        bridge = std::make_unique<desktop::Bridge>(workplace);
        bridge->set_entered_hook([this, user = std::this_thread::get_id()](std::thread::id worker) {
            ++entered;
            if (worker == user) ++entered_by_user;
        });
        window = std::make_unique<desktop::MainWindow>(*bridge, desktop::Habits(data()));
        window->resize(1280, 800);
        window->show();
    }
    ~Desk() {
        window.reset();
        bridge.reset();
    }
    std::filesystem::path data() const { return folder.path() / "data"; }
    std::filesystem::path prints() const { return folder.path() / "prints"; }

    support::TemporaryFolder folder;
    std::atomic<int> entered{0}, entered_by_user{0};
    std::unique_ptr<desktop::Bridge> bridge;
    std::unique_ptr<desktop::MainWindow> window;
};

}  // namespace hangtrue::desktop_test
