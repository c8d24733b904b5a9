// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The window in the user's language, where somebody has translated it.

#include <QStringList>
#include <filesystem>
#include <vector>

class QCoreApplication;

namespace hangtrue::desktop {

/// Where translations (hangtrue_de.qm) may lie: of an installed program, and beside one that was only built.
std::vector<std::filesystem::path> translation_folders();

/// Takes the first of the user's languages (QLocale::uiLanguages) that is English or translated, and Qt's own words (of
/// its buttons and file dialogs) in the same one. Whether it is a translated one; else all stays English, Qt's words
/// too: no window in two languages.
bool load_translations(QCoreApplication& application, const QStringList& languages,
                       const std::vector<std::filesystem::path>& folders);

}  // namespace hangtrue::desktop
