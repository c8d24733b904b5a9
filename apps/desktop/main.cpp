// SPDX-License-Identifier: Apache-2.0
#include <QApplication>
#include <QGuiApplication>
#include <QTextStream>
#include <cstdio>

#include "apps/desktop/bridge.h"
#include "apps/desktop/main_window.h"
#include "apps/desktop/settings.h"
#include "apps/desktop/style.h"
#include "apps/desktop/translations.h"
#include "engine/base/error.h"

int main(int argc, char** argv) {
    using namespace hangtrue;
    QStringList words;
    for (int i = 1; i < argc; ++i) words.append(QString::fromLocal8Bit(argv[i]));
    desktop::StartOptions options;
    try {
        options = desktop::start_options(words);
    } catch (const base::Error& error) {
        QTextStream(stderr) << "hangtrue-desktop: " << error.what() << "\n";
        return 2;
    }
    // Both are answered without a display.
    if (options.wants_help || options.wants_version) {
        QTextStream(stdout) << (options.wants_help ? desktop::help_text()
                                                   : QStringLiteral("hangtrue-desktop " HANGTRUE_VERSION "\n"));
        return 0;
    }
    // The wall is drawn in the screen's own pixels, whatever the desktop's scaling.
    QGuiApplication::setHighDpiScaleFactorRoundingPolicy(Qt::HighDpiScaleFactorRoundingPolicy::PassThrough);
    QApplication application(argc, argv);
    QApplication::setApplicationName(QStringLiteral("hangtrue-desktop"));
    QGuiApplication::setDesktopFileName(QStringLiteral("hangtrue-desktop"));
    desktop::load_translations(application, QLocale().uiLanguages(), desktop::translation_folders());
    const desktop::Habits habits(options.workplace.data_folder);
    if (!options.units_given) options.workplace.units = habits.units().value_or(base::ShownUnits::inches);
    desktop::set_look(application, habits.grey());
    desktop::Bridge bridge(options.workplace);
    desktop::MainWindow window(bridge, habits);
    window.show();
    window.open(options.pictures);
    return QApplication::exec();
}
