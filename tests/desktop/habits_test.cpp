// SPDX-License-Identifier: Apache-2.0
#include <QElapsedTimer>
#include <QLockFile>
#include <QSettings>
#include <QTest>
#include <filesystem>
#include <memory>

#include "apps/desktop/settings.h"
#include "tests/support/temporary_folder.h"

using namespace hangtrue;
using desktop::Grey;
using desktop::Habits;

/// What the window remembers of itself: known at once, written beside the user's thread, never lost by closing.
class HabitsTest : public QObject {
    Q_OBJECT
  private:
    static QString file_in(const support::TemporaryFolder& folder) {
        return QString::fromStdString((folder.path() / "window.ini").string());
    }

  private slots:
    void what_is_set_is_known_at_once_and_lies_in_the_file_after_closing() {
        const support::TemporaryFolder folder;
        {
            const Habits habits(folder.path());
            const Habits copy = habits;
            habits.set_grey(Grey::light);
            habits.set_hanging_height_mm(1600);
            habits.set_last_medium(QStringLiteral("a shop"), QStringLiteral("paper"));
            QVERIFY(copy.grey() == Grey::light);
            QCOMPARE(Habits(folder.path()).hanging_height_mm().value_or(0), 1600.0);
        }
        const QSettings file(file_in(folder), QSettings::IniFormat);
        QCOMPARE(file.value(QStringLiteral("look/grey")).toString(), QStringLiteral("light"));
        const Habits again(folder.path());
        QCOMPARE(again.hanging_height_mm().value_or(0), 1600.0);
        QCOMPARE(again.last_shop(), QStringLiteral("a shop"));
        QCOMPARE(again.last_medium(), QStringLiteral("paper"));
    }

    void a_disk_that_makes_wait_does_not_hold_up_the_window() {
        const support::TemporaryFolder folder;
        // As another program that writes the same file for a while.
        auto lock = std::make_unique<QLockFile>(file_in(folder) + QStringLiteral(".lock"));
        QVERIFY(lock->lock());
        {
            const Habits habits(folder.path());
            QElapsedTimer clock;
            clock.start();
            for (int i = 0; i < 100; ++i) habits.set_hanging_height_mm(1000 + i);
            QVERIFY(clock.elapsed() < 1000);  // The lock would hold it for ever; a busy machine for a while.
            QVERIFY(!std::filesystem::exists(file_in(folder).toStdString()));
            lock.reset();
        }
        QCOMPARE(Habits(folder.path()).hanging_height_mm().value_or(0), 1099.0);
    }

    void what_another_key_of_the_file_says_stays() {
        const support::TemporaryFolder folder;
        QSettings(file_in(folder), QSettings::IniFormat).setValue(QStringLiteral("later/key"), QStringLiteral("kept"));
        { Habits(folder.path()).set_grey(Grey::light); }
        QCOMPARE(QSettings(file_in(folder), QSettings::IniFormat).value(QStringLiteral("later/key")).toString(),
                 QStringLiteral("kept"));
    }
};

QTEST_GUILESS_MAIN(HabitsTest)
#include "habits_test.moc"
