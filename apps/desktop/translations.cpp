// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/translations.h"

#include <QCoreApplication>
#include <QLibraryInfo>
#include <QLocale>
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

namespace {

bool load_language(QCoreApplication& application, const QLocale& language, const std::vector<fs::path>& folders) {
    for (const fs::path& folder : folders) {
        auto words = std::make_unique<QTranslator>(&application);
        if (!words->load(language, QStringLiteral("hangtrue"), QStringLiteral("_"),
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

}  // namespace

bool load_translations(QCoreApplication& application, const QStringList& languages,
                       const std::vector<fs::path>& folders) {
    for (const QString& name : languages) {
        const QLocale language(name);
        if (language.language() == QLocale::English) return false;  // The window's own.
        if (load_language(application, language, folders)) return true;
    }
    return false;
}

}  // namespace hangtrue::desktop
