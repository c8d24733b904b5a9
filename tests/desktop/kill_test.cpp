// SPDX-License-Identifier: Apache-2.0
// A wish outlives the program's sudden end: a second process changes it and is killed.

#include <QApplication>
#include <QElapsedTimer>
#include <QProcess>
#include <QTest>
#include <QTimer>
#include <algorithm>
#include <cstdio>
#include <vector>

#include "apps/desktop/order.h"
#include "apps/desktop/print_page.h"
#include "tests/desktop/small_shop.h"

using namespace hangtrue;
using desktop_test::add_small_shop;
using desktop_test::Desk;
using desktop_test::long_wait;
using desktop_test::small_picture;

namespace {

constexpr int change_every_ms = 250;
constexpr int most_lost_ms = 5000;

/// The program as a photographer who never rests: a new distance each quarter of a second, each told on standard
/// output, until it is killed.
int change_for_ever(const QString& data, const QString& picture) {
    desktop::Workplace workplace{data.toStdString(), std::filesystem::path(HANGTRUE_SOURCE_DIR) / "models", 1,
                                 base::ShownUnits::inches};
    desktop::Bridge bridge(workplace);
    desktop::MainWindow window(bridge, desktop::Habits(workplace.data_folder));
    window.show();
    desktop::Order& order = window.print_page().order();
    window.open({picture.toStdString()});
    QTimer timer;
    int centimetres = 100;
    QObject::connect(&timer, &QTimer::timeout, [&] {
        if (!order.has_shape()) return;
        order.set_word(QStringLiteral("distance"), "distance", QStringLiteral("%1cm").arg(++centimetres));
        std::printf("%d\n", centimetres);
        std::fflush(stdout);
    });
    timer.start(change_every_ms);
    return QApplication::exec();
}

}  // namespace

class KillTest : public QObject {
    Q_OBJECT
  private slots:
    void a_killed_window_loses_at_most_the_last_five_seconds_of_a_wish() {
        Desk desk;
        add_small_shop(desk);
        const auto picture = small_picture(desk);
        QProcess other;
        other.setProcessChannelMode(QProcess::ForwardedErrorChannel);
        other.start(QApplication::applicationFilePath(),
                    {QStringLiteral("--change-for-ever"), QString::fromStdString(desk.data().string()),
                     QString::fromStdString(picture.string())});
        QVERIFY(other.waitForStarted());
        struct Change {
            int centimetres;
            qint64 at_ms;
        };
        std::vector<Change> changes;
        QElapsedTimer clock;
        clock.start();
        // Twice as long as may be lost, from the first change on.
        while (changes.empty() || clock.elapsed() < changes.front().at_ms + 2 * most_lost_ms) {
            QVERIFY(clock.elapsed() < long_wait);
            other.waitForReadyRead(50);
            while (other.canReadLine()) changes.push_back({other.readLine().trimmed().toInt(), clock.elapsed()});
        }
        other.kill();  // SIGKILL.
        const qint64 killed_at = clock.elapsed();
        QVERIFY(other.waitForFinished());
        QCOMPARE(other.exitStatus(), QProcess::CrashExit);
        QVERIFY(changes.size() > 10);

        desk.window->print_page().open({picture});
        QTRY_VERIFY_WITH_TIMEOUT(!desk.window->print_page().order().word("distance").isEmpty(), long_wait);
        const int kept = desk.window->print_page().order().word("distance").remove(QLatin1String("cm")).toInt();
        const auto lost = std::find_if(changes.begin(), changes.end(),
                                       [&](const Change& change) { return change.centimetres > kept; });
        QVERIFY(kept >= changes.front().centimetres);
        if (lost != changes.end()) QVERIFY2(killed_at - lost->at_ms <= most_lost_ms, qPrintable(QString::number(kept)));
    }
};

int main(int argc, char** argv) {
    QApplication application(argc, argv);
    const QStringList words = QApplication::arguments();
    if (words.size() == 4 && words[1] == QLatin1String("--change-for-ever")) return change_for_ever(words[2], words[3]);
    KillTest test;
    return QTest::qExec(&test, argc, argv);
}

#include "kill_test.moc"
