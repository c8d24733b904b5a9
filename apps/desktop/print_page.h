// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The print: the order sentence, and under it the print on its wall.

#include <QWidget>
#include <filesystem>
#include <vector>

#include "apps/desktop/bridge.h"
#include "apps/desktop/settings.h"
#include "engine/plan/wish.h"

namespace hangtrue::desktop {

class PrintPage : public QWidget {
    Q_OBJECT
  public:
    PrintPage(Bridge& bridge, Habits habits, QWidget* parent);

    /// The first is hung, the others wait in the queue's list. With the wish kept for it, else a first one.
    void open(const std::vector<std::filesystem::path>& pictures);
    void open_as(const std::filesystem::path& picture, const plan::Wish& wish);
    /// Writes what the next few seconds would write anyway.
    void keep_now();

  private:
    Bridge& m_bridge;
    Habits m_habits;
};

}  // namespace hangtrue::desktop
