// SPDX-License-Identifier: Apache-2.0
#include "engine/base/progress.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <thread>
#include <vector>

#include "engine/base/error.h"

namespace hangtrue::base {
namespace {

TEST(progress, a_thousand_reports_of_one_step_are_shown_101_times) {
    std::vector<ProgressReport> shown;
    Progress progress([&](const ProgressReport& report) { shown.push_back(report); });
    for (int i = 0; i <= 1000; ++i) progress.report("making", i / 1000.0);
    EXPECT_EQ(shown.size(), 101U);  // 0 to 100 hundredths
    EXPECT_EQ(shown.front().fraction, 0);
    EXPECT_EQ(shown.back().fraction, 1);
    progress.report("reading back", 1);
    EXPECT_EQ(shown.back().step, "reading back");
}

TEST(progress, fractions_outside_0_to_1_are_held_there) {
    std::vector<double> shown;
    Progress progress([&](const ProgressReport& report) { shown.push_back(report.fraction); });
    progress.report("making", -3);
    progress.report("making", 7);
    EXPECT_EQ(shown, (std::vector<double>{0, 1}));
}

TEST(progress, once_cancelled_every_report_and_check_throws) {
    Progress progress;
    EXPECT_NO_THROW(progress.check());
    EXPECT_FALSE(progress.is_cancelled());
    progress.cancel();
    EXPECT_TRUE(progress.is_cancelled());
    EXPECT_THROW(progress.check(), Cancelled);
    EXPECT_THROW(progress.report("making", 0.5), Cancelled);
}

TEST(progress, a_signal_handlers_mark_cancels) {
    Progress progress;
    progress.cancel_flag().store(true);
    EXPECT_THROW(progress.check(), Cancelled);
}

TEST(progress, four_threads_may_report_at_once) {
    int inside = 0;
    int most_inside = 0;
    Progress progress([&](const ProgressReport&) {
        most_inside = std::max(most_inside, ++inside);
        --inside;
    });
    {
        std::vector<std::jthread> threads;
        for (int t = 0; t < 4; ++t) {
            threads.emplace_back([&] {
                for (int i = 0; i < 500; ++i) progress.report("making", i / 500.0);
            });
        }
    }
    EXPECT_EQ(most_inside, 1);
}

}  // namespace
}  // namespace hangtrue::base
