// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/translations.h"

#include <QCoreApplication>
#include <QLibraryInfo>
#include <QTranslator>
#include <memory>
#include <system_error>

namespace hangtrue::desktop {

namespace fs = std::filesystem;

std::vector<fs::path> translation_folders() {
    std::error_code ignored;
    const fs::path program = fs::read_symlink("/proc/self/exe", ignored).parent_path();
    return {program.parent_path() / "share/hangtrue/translations", program / "translations"};
}

bool load_translations(QCoreApplication& application, const QLocale& locale, const std::vector<fs::path>& folders) {
    for (const fs::path& folder : folders) {
        auto words = std::make_unique<QTranslator>(&application);
        if (!words->load(locale, QStringLiteral("hangtrue"), QStringLiteral("_"),
                         QString::fromStdString(folder.string()))) {
            continue;
        }
        auto qt_words = std::make_unique<QTranslator>(&application);
        const QString qt_folder = QLibraryInfo::path(QLibraryInfo::TranslationsPath);
        if (qt_words->load(QStringLiteral("qtbase_") + words->language(), qt_folder)) {
            QCoreApplication::installTranslator(qt_words.release());
        }
        QCoreApplication::installTranslator(words.release());  // The application ends it.
        return true;
    }
    return false;
}

}  // namespace hangtrue::desktop
