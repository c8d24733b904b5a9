// SPDX-License-Identifier: Apache-2.0
#include <QTest>
#include <QThread>
#include <atomic>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <string>
#include <thread>

#include "apps/desktop/bridge.h"
#include "engine/base/error.h"
#include "tests/support/temporary_folder.h"

using namespace hangtrue;
using desktop::Bridge;
using desktop::Lane;
using desktop::Result;
using desktop::TaskHandle;

/// The rule of the bridge: work on workers, answers on the user's thread, and only to who is still there.
class BridgeTest : public QObject {
    Q_OBJECT
  private:
    support::TemporaryFolder m_folder;
    desktop::Workplace workplace() const { return {m_folder.path(), m_folder.path(), 1, base::ShownUnits::inches}; }

    /// Works until it is cancelled; `begun` says when it runs.
    static int until_cancelled(jobs::Context& context, std::atomic<bool>& begun) {
        begun = true;
        while (true) {
            context.progress.check();
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
    }

  private slots:
    void work_runs_off_the_users_thread_and_answers_on_it() {
        Bridge bridge(workplace());
        const auto user = std::this_thread::get_id();
        std::atomic<bool> entered_on_user{false};
        std::atomic<int> entered{0};
        bridge.set_entered_hook([&](std::thread::id worker) {
            ++entered;
            if (worker == user) entered_on_user = true;
        });
        int answers = 0;
        for (const Lane lane : {Lane::look, Lane::measure, Lane::list, Lane::make}) {
            bridge.run<std::thread::id>(
                lane, QStringLiteral("who"), this, [](jobs::Context&) { return std::this_thread::get_id(); },
                [&](const Result<std::thread::id>& result) {
                    QVERIFY(result.is_done());
                    QVERIFY(*result.value != user);
                    QCOMPARE(std::this_thread::get_id(), user);
                    ++answers;
                });
        }
        QTRY_COMPARE(answers, 4);
        QCOMPARE(entered.load(), 4);
        QVERIFY(!entered_on_user);
    }

    void a_newer_look_of_the_same_kind_drops_the_older() {
        Bridge bridge(workplace());
        std::atomic<bool> begun{false};
        bool older_answered = false;
        int newer = 0;
        bridge.run<int>(
            Lane::look, QStringLiteral("window"), this,
            [&](jobs::Context& context) { return until_cancelled(context, begun); },
            [&](const Result<int>&) { older_answered = true; });
        QTRY_VERIFY(begun);
        bridge.run<int>(
            Lane::look, QStringLiteral("window"), this, [](jobs::Context&) { return 7; },
            [&](const Result<int>& result) { newer = result.value.value_or(-1); });
        QTRY_COMPARE(newer, 7);
        QVERIFY(!older_answered);
    }

    void a_result_still_to_be_told_when_a_newer_was_asked_for_is_not_told() {
        Bridge bridge(workplace());
        std::vector<int> told;
        const auto tell = [&](const Result<int>& result) { told.push_back(result.value.value_or(-1)); };
        std::atomic<bool> next_began{false};
        bridge.run<int>(
            Lane::measure, QStringLiteral("whole"), this, [](jobs::Context&) { return 1; }, tell);
        bridge.run<bool>(
            Lane::measure, QStringLiteral("after"), this, [&](jobs::Context&) { return next_began = true; },
            [](const Result<bool>&) {});
        // No event is handled here: the first one's work is over, its result waits for the user's thread.
        while (!next_began) std::this_thread::yield();
        bridge.run<int>(
            Lane::measure, QStringLiteral("whole"), this, [](jobs::Context&) { return 2; }, tell);
        QTRY_VERIFY(!told.empty() && told.back() == 2);
        QCOMPARE(told, (std::vector<int>{2}));
    }

    void another_kind_and_another_receiver_are_left_alone() {
        Bridge bridge(workplace());
        QObject other;
        int answers = 0;
        const auto count = [&](const Result<int>& result) { answers += result.value.value_or(100); };
        const auto one = [](jobs::Context&) { return 1; };
        bridge.run<int>(Lane::look, QStringLiteral("a"), this, one, count);
        bridge.run<int>(Lane::look, QStringLiteral("b"), this, one, count);
        bridge.run<int>(Lane::look, QStringLiteral("a"), &other, one, count);
        QTRY_COMPARE(answers, 3);
    }

    void a_list_does_not_wait_behind_measuring() {
        Bridge bridge(workplace());
        std::atomic<bool> begun{false};
        const TaskHandle measuring = bridge.run<int>(
            Lane::measure, QStringLiteral("detail"), this,
            [&](jobs::Context& context) { return until_cancelled(context, begun); }, [](const Result<int>&) {});
        QTRY_VERIFY(begun);
        int listed = 0;
        bridge.run<int>(
            Lane::list, QStringLiteral("ledger"), this, [](jobs::Context&) { return 7; },
            [&](const Result<int>& result) { listed = result.value.value_or(-1); });
        QTRY_COMPARE(listed, 7);
        QVERIFY(measuring.is_open());
        measuring.cancel();
        QTRY_VERIFY(!measuring.is_open());
    }

    void one_that_is_cancelled_while_it_waits_ends_at_once_and_is_never_begun() {
        Bridge bridge(workplace());
        std::atomic<bool> begun{false}, waiting_began{false};
        const TaskHandle first = bridge.run<int>(
            Lane::make, QStringLiteral("make"), this,
            [&](jobs::Context& context) { return until_cancelled(context, begun); }, [](const Result<int>&) {});
        QTRY_VERIFY(begun);
        std::vector<jobs::Ending> ends;
        const TaskHandle waiting = bridge.run<bool>(
            Lane::make, QStringLiteral("make"), this, [&](jobs::Context&) { return waiting_began = true; },
            [&](const Result<bool>& result) { ends.push_back(result.ended.ending); });
        waiting.cancel();
        waiting.cancel();
        QTRY_COMPARE(ends, (std::vector<jobs::Ending>{jobs::Ending::cancelled}));
        QVERIFY(!waiting.is_open());
        QVERIFY(first.is_open());
        QVERIFY(bridge.is_making());
        first.cancel();
        QTRY_VERIFY(!bridge.is_making());
        QVERIFY(!waiting_began);
    }

    void making_is_a_queue_in_which_nothing_is_dropped() {
        Bridge bridge(workplace());
        QVERIFY(!bridge.is_making());
        std::vector<int> order;
        for (int i = 0; i < 5; ++i) {
            bridge.run<int>(
                Lane::make, QStringLiteral("make"), this, [i](jobs::Context&) { return i; },
                [&](const Result<int>& result) { order.push_back(result.value.value_or(-1)); });
        }
        QVERIFY(bridge.is_making());
        QTRY_COMPARE(order, (std::vector<int>{0, 1, 2, 3, 4}));
        QTRY_VERIFY(!bridge.is_making());
    }

    void cancelling_ends_within_half_a_second_and_says_so() {
        Bridge bridge(workplace());
        std::atomic<bool> begun{false};
        std::optional<jobs::Ended> ended;
        const TaskHandle handle = bridge.run<int>(
            Lane::make, QStringLiteral("make"), this,
            [&](jobs::Context& context) { return until_cancelled(context, begun); },
            [&](const Result<int>& result) { ended = result.ended; });
        QTRY_VERIFY(begun);
        QVERIFY(handle.is_open());
        handle.cancel();
        QTRY_VERIFY_WITH_TIMEOUT(ended.has_value(), 500);
        QCOMPARE(ended->ending, jobs::Ending::cancelled);
        QVERIFY(!handle.is_open());
    }

    void what_a_job_throws_becomes_its_sentence() {
        Bridge bridge(workplace());
        std::optional<jobs::Ended> ended;
        bridge.run<int>(
            Lane::measure, QStringLiteral("x"), this,
            [](jobs::Context&) -> int { throw base::UnreadableInput("ridge.tif is cut short."); },
            [&](const Result<int>& result) { ended = result.ended; });
        QTRY_VERIFY(ended.has_value());
        QCOMPARE(ended->ending, jobs::Ending::unreadable);
        QCOMPARE(ended->sentence, std::string("ridge.tif is cut short."));
    }

    void a_receiver_that_is_gone_hears_nothing() {
        Bridge bridge(workplace());
        auto receiver = std::make_unique<QObject>();
        bool answered = false;
        int later = 0;
        bridge.run<int>(
            Lane::look, QStringLiteral("x"), receiver.get(), [](jobs::Context&) { return 1; },
            [&](const Result<int>&) { answered = true; });
        receiver.reset();
        bridge.run<int>(
            Lane::look, QStringLiteral("y"), this, [](jobs::Context&) { return 1; },
            [&](const Result<int>&) { later = 1; });
        QTRY_COMPARE(later, 1);
        QVERIFY(!answered);
    }

    void progress_arrives_on_the_users_thread() {
        Bridge bridge(workplace());
        const auto user = std::this_thread::get_id();
        std::vector<double> fractions;
        bool done = false;
        bridge.run<int>(
            Lane::make, QStringLiteral("make"), this,
            [](jobs::Context& context) {
                context.progress.report("making", 0.25);
                context.progress.report("making", 0.75);
                return 1;
            },
            [&](const Result<int>&) { done = true; },
            [&](const base::ProgressReport& report) {
                QCOMPARE(std::this_thread::get_id(), user);
                fractions.push_back(report.fraction);
            });
        QTRY_VERIFY(done);
        QCOMPARE(fractions, (std::vector<double>{0.25, 0.75}));
    }

    /// No job runs without a Context, and nobody else makes one: that holds for every part of the window, tried or not.
    void only_the_bridge_makes_what_jobs_run_in() {
        int makers = 0;
        for (const auto& entry : std::filesystem::directory_iterator(HANGTRUE_SOURCE_DIR "/apps/desktop")) {
            std::ifstream file(entry.path());
            const std::string text((std::istreambuf_iterator<char>(file)), {});
            const std::regex made("jobs::Context\\s+\\w+\\s*[{(=]");
            if (!std::regex_search(text, made)) continue;
            QCOMPARE(entry.path().filename().string(), std::string("bridge.cpp"));
            ++makers;
        }
        QCOMPARE(makers, 1);
    }

    void what_is_to_be_kept_is_kept_at_the_end() {
        std::atomic<int> kept{0};
        {
            Bridge bridge(workplace());
            for (int i = 0; i < 3; ++i) {
                bridge.run<int>(
                    Lane::keep, QStringLiteral("keep %1").arg(i), this,
                    [&](jobs::Context& context) {
                        std::this_thread::sleep_for(std::chrono::milliseconds(20));
                        context.progress.check();
                        return ++kept;
                    },
                    [](const Result<int>&) {});
            }
        }
        QCOMPARE(kept.load(), 3);
    }

    void the_end_of_the_bridge_ends_the_work() {
        std::atomic<bool> begun{false};
        {
            Bridge bridge(workplace());
            bridge.run<int>(
                Lane::make, QStringLiteral("make"), this,
                [&](jobs::Context& context) { return until_cancelled(context, begun); }, [](const Result<int>&) {});
            QTRY_VERIFY(begun);
        }
        QVERIFY(begun);
    }
};

QTEST_GUILESS_MAIN(BridgeTest)
#include "bridge_test.moc"
