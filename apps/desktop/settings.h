// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the program is started with, and the few things it remembers of the window itself.

#include <QStringList>
#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

#include "apps/desktop/bridge.h"
#include "apps/desktop/kept_values.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

struct StartOptions {
    Workplace workplace;
    std::vector<std::filesystem::path> pictures;
    bool wants_help = false;
    bool wants_version = false;
    bool units_given = false;
};

/// `words`: the command line without the program's name. Throws InvalidWish with a sentence for wrong use. Without
/// `--data`, the XDG data folder, as in the command line.
StartOptions start_options(const QStringList& words);
QString help_text();

/// Where the demo shops lie: beside an installed program, else where it was built from.
std::filesystem::path demo_shops_folder();
/// The demo photograph where it is installed.
std::optional<std::filesystem::path> demo_picture();

/// Kept in DATA/window.ini: what the window remembers of screen and habits. Not of prints. Copies are the same habits;
/// what is set is known at once, and written beside the user's thread.
class Habits {
  public:
    explicit Habits(const std::filesystem::path& data_folder);
    Grey grey() const;
    void set_grey(Grey grey) const;
    std::optional<base::ShownUnits> units() const;
    void set_units(base::ShownUnits units) const;
    /// Device pixels a millimetre of the screen of that name, where a card was held against it.
    std::optional<double> pixels_per_mm(const QString& screen) const;
    void set_pixels_per_mm(const QString& screen, double value) const;
    /// Of the wall in the window: "" (the window's own grey), "white", "light", "dark".
    QString wall() const;
    void set_wall(const QString& wall) const;
    /// The light that the wall is drawn in, as WallView::set_light takes it.
    QString wall_light() const;
    void set_wall_light(const QString& light) const;
    /// Of the middle of prints above the floor.
    std::optional<double> hanging_height_mm() const;
    void set_hanging_height_mm(double height) const;
    /// The folder that files were last made into; at first one among the user's pictures.
    QString last_folder() const;
    void set_last_folder(const QString& folder) const;
    /// The shop and medium asked for last: where a new picture's order begins.
    QString last_shop() const;
    QString last_medium() const;
    void set_last_medium(const QString& shop, const QString& medium) const;

  private:
    std::shared_ptr<KeptValues> m_kept;
};

}  // namespace hangtrue::desktop
