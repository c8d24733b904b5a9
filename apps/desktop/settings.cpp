// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/settings.h"

#include <QCoreApplication>
#include <QStandardPaths>
#include <algorithm>
#include <cstdlib>

#include "engine/base/error.h"
#include "engine/base/workers.h"

namespace hangtrue::desktop {
namespace {

namespace fs = std::filesystem;

fs::path path_of(const QString& text) { return fs::path(text.toStdString()); }

/// XDG Base Directory Specification 0.8: a relative path in the variable is not valid and is not looked at.
fs::path usual_data_folder() {
    const char* xdg = std::getenv("XDG_DATA_HOME");
    if (xdg != nullptr && xdg[0] == '/') return fs::path(xdg) / "hangtrue";
    const char* home = std::getenv("HOME");
    if (home != nullptr && home[0] == '/') return fs::path(home) / ".local/share/hangtrue";
    throw base::InvalidWish("There is no home folder to keep shops and ledger in: say where, with --data FOLDER.");
}

/// Beside an installed program, else where it was built from.
fs::path beside_program(const char* name, const char* built_from) {
    std::error_code ignored;
    const fs::path program = fs::read_symlink("/proc/self/exe", ignored);
    const fs::path installed = program.parent_path().parent_path() / "share/hangtrue" / name;
    return fs::is_directory(installed, ignored) ? installed : fs::path(built_from);
}

int threads_of(const QString& text) {
    bool is_number = false;
    const int threads = text.toInt(&is_number);
    if (!is_number || threads < 1 || threads > 256) {
        throw base::InvalidWish("--threads takes a whole number from 1 to 256; not \"" + text.toStdString() + "\".");
    }
    return threads;
}

base::ShownUnits units_of(const QString& text) {
    if (text == QLatin1String("in")) return base::ShownUnits::inches;
    if (text == QLatin1String("cm")) return base::ShownUnits::centimetres;
    throw base::InvalidWish("--units is in or cm; not \"" + text.toStdString() + "\".");
}

}  // namespace

StartOptions start_options(const QStringList& words) {
    StartOptions options;
    options.workplace.threads = std::clamp(base::default_thread_count(), 1, 256);
    options.workplace.models_folder = beside_program("models", HANGTRUE_MODELS_FOLDER);
    bool only_pictures = false;
    for (int i = 0; i < words.size(); ++i) {
        const QString& word = words[i];
        if (only_pictures || !word.startsWith(QLatin1String("--"))) {
            options.pictures.push_back(path_of(word));
            continue;
        }
        if (word == QLatin1String("--")) {
            only_pictures = true;
            continue;
        }
        if (word == QLatin1String("--help")) {
            options.wants_help = true;
            continue;
        }
        if (word == QLatin1String("--version")) {
            options.wants_version = true;
            continue;
        }
        const QString name = word.section(QLatin1Char('='), 0, 0);
        const bool has_value = word.contains(QLatin1Char('='));
        const auto value = [&] {
            if (has_value) return word.section(QLatin1Char('='), 1);
            if (i + 1 == words.size()) throw base::InvalidWish(name.toStdString() + " needs a value after it.");
            return words[++i];
        };
        if (name == QLatin1String("--data")) {
            options.workplace.data_folder = path_of(value());
        } else if (name == QLatin1String("--models")) {
            options.workplace.models_folder = path_of(value());
        } else if (name == QLatin1String("--threads")) {
            options.workplace.threads = threads_of(value());
        } else if (name == QLatin1String("--units")) {
            options.workplace.units = units_of(value());
            options.units_given = true;
        } else {
            throw base::InvalidWish(word.toStdString() +
                                    " is no option of hangtrue-desktop. It takes --data, --models, " +
                                    "--threads, --units, --help and --version.");
        }
    }
    if (options.workplace.data_folder.empty() && !options.wants_help && !options.wants_version) {
        options.workplace.data_folder = usual_data_folder();
    }
    return options;
}

QString help_text() {
    return QCoreApplication::translate("help", R"(hangtrue-desktop [PICTURE...] [options]
  opens the pictures in the window

  --data FOLDER     where shops and ledger lie (default: the XDG data folder, ~/.local/share/hangtrue)
  --models FOLDER   where the networks' weights lie
  --threads N       threads to work with, 1 to 256 (default: what the machine offers)
  --units in|cm     lengths in inches or in centimetres (default: as last time, inches at first)
  --help, --version
)");
}

fs::path demo_shops_folder() { return beside_program("shops", HANGTRUE_DEMO_SHOPS); }

std::optional<fs::path> demo_picture() {
    const fs::path picture = "/usr/share/backgrounds/picosdeeuropa_by_Aitzol_Berasategi.jpg";
    std::error_code ignored;
    if (fs::is_regular_file(picture, ignored)) return picture;
    return std::nullopt;
}

Habits::Habits(const fs::path& data_folder) : m_kept(kept_values(data_folder / "window.ini")) {}

Grey Habits::grey() const {
    return m_kept->value(QStringLiteral("look/grey")).toString() == QLatin1String("light") ? Grey::light : Grey::dark;
}
void Habits::set_grey(Grey grey) const {
    m_kept->set(QStringLiteral("look/grey"), grey == Grey::light ? QStringLiteral("light") : QStringLiteral("dark"));
}

std::optional<base::ShownUnits> Habits::units() const {
    const QString word = m_kept->value(QStringLiteral("look/units")).toString();
    if (word == QLatin1String("cm")) return base::ShownUnits::centimetres;
    if (word == QLatin1String("in")) return base::ShownUnits::inches;
    return std::nullopt;
}
void Habits::set_units(base::ShownUnits units) const {
    m_kept->set(QStringLiteral("look/units"),
                units == base::ShownUnits::inches ? QStringLiteral("in") : QStringLiteral("cm"));
}

std::optional<double> Habits::pixels_per_mm(const QString& screen) const {
    const double value = m_kept->value(QStringLiteral("screens/") + screen).toDouble();
    return value > 0 ? std::optional(value) : std::nullopt;
}
void Habits::set_pixels_per_mm(const QString& screen, double value) const {
    m_kept->set(QStringLiteral("screens/") + screen, value);
}

QString Habits::wall() const { return m_kept->value(QStringLiteral("room/wall")).toString(); }
void Habits::set_wall(const QString& wall) const { m_kept->set(QStringLiteral("room/wall"), wall); }

QString Habits::wall_light() const { return m_kept->value(QStringLiteral("room/light")).toString(); }
void Habits::set_wall_light(const QString& light) const { m_kept->set(QStringLiteral("room/light"), light); }

std::optional<double> Habits::hanging_height_mm() const {
    const double value = m_kept->value(QStringLiteral("room/hanging_height_mm")).toDouble();
    return value > 0 ? std::optional(value) : std::nullopt;
}
void Habits::set_hanging_height_mm(double height) const {
    m_kept->set(QStringLiteral("room/hanging_height_mm"), height);
}

QString Habits::last_folder() const {
    const QString folder = m_kept->value(QStringLiteral("make/folder")).toString();
    if (!folder.isEmpty()) return folder;
    return QStandardPaths::writableLocation(QStandardPaths::PicturesLocation) + QStringLiteral("/prints");
}
void Habits::set_last_folder(const QString& folder) const { m_kept->set(QStringLiteral("make/folder"), folder); }

QString Habits::last_shop() const { return m_kept->value(QStringLiteral("order/shop")).toString(); }
QString Habits::last_medium() const { return m_kept->value(QStringLiteral("order/medium")).toString(); }
void Habits::set_last_medium(const QString& shop, const QString& medium) const {
    m_kept->set(QStringLiteral("order/shop"), shop);
    m_kept->set(QStringLiteral("order/medium"), medium);
}

}  // namespace hangtrue::desktop
