// SPDX-License-Identifier: Apache-2.0
#include <QCoreApplication>
#include <QFile>
#include <QLibraryInfo>
#include <QProcess>
#include <QStandardPaths>
#include <QTest>
#include <filesystem>
#include <fstream>

#include "apps/desktop/translations.h"
#include "tests/support/temporary_folder.h"

using namespace hangtrue;

/// The window in another language, where there is one; otherwise in English alone.
class TranslationsTest : public QObject {
    Q_OBJECT
  private slots:
    void without_a_translation_everything_stays_english() {
        const support::TemporaryFolder folder;
        QVERIFY(!desktop::load_translations(*qApp, {QStringLiteral("de-DE"), QStringLiteral("de")}, {folder.path()}));
        QCOMPARE(QCoreApplication::translate("QPlatformTheme", "Cancel"), QStringLiteral("Cancel"));
        std::ofstream(folder.path() / "hangtrue_de.qm") << "no translation at all";
        QVERIFY(!desktop::load_translations(*qApp, {QStringLiteral("de-DE"), QStringLiteral("de")}, {folder.path()}));
    }

    void a_translation_is_taken_with_qts_own_words_in_the_same_language() {
        const QString tool = QStandardPaths::findExecutable(QStringLiteral("lrelease"),
                                                            {QLibraryInfo::path(QLibraryInfo::BinariesPath)});
        if (tool.isEmpty()) QSKIP("Qt's language tools are not installed.");
        const support::TemporaryFolder folder;
        const auto words = folder.path() / "hangtrue_de.ts";
        std::ofstream(words) << R"(<?xml version="1.0" encoding="utf-8"?><!DOCTYPE TS><TS version="2.1" language="de">
            <context><name>hangtrue::desktop::MainWindow</name><message><source>Pictures</source>
            <translation>Bilder</translation></message></context></TS>)";
        QCOMPARE(QProcess::execute(tool, {QStringLiteral("-silent"), QString::fromStdString(words.string())}), 0);
        const auto empty = folder.path() / "empty";
        // Who reads English first gets no second language.
        QVERIFY(!desktop::load_translations(
            *qApp, {QStringLiteral("fr-FR"), QStringLiteral("en-GB"), QStringLiteral("de")}, {folder.path()}));
        QVERIFY(desktop::load_translations(*qApp,
                                           {QStringLiteral("fr-FR"), QStringLiteral("de-DE"), QStringLiteral("en-GB")},
                                           {empty, folder.path()}));
        QCOMPARE(QCoreApplication::translate("hangtrue::desktop::MainWindow", "Pictures"), QStringLiteral("Bilder"));
        QCOMPARE(QCoreApplication::translate("hangtrue::desktop::MainWindow", "Ledger"), QStringLiteral("Ledger"));
        if (QFile::exists(QLibraryInfo::path(QLibraryInfo::TranslationsPath) + QStringLiteral("/qtbase_de.qm"))) {
            QCOMPARE(QCoreApplication::translate("QPlatformTheme", "Cancel"), QStringLiteral("Abbrechen"));
        }
    }
};

QTEST_GUILESS_MAIN(TranslationsTest)
#include "translations_test.moc"
