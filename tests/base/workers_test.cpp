// SPDX-License-Identifier: Apache-2.0
#include "engine/base/workers.h"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>

namespace hangtrue::base {
namespace {

TEST(workers, every_task_runs_once_on_a_thread_of_the_set) {
    for (const int threads : {1, 2, 4}) {
        Workers::Group group;
        Workers workers(threads);
        EXPECT_EQ(workers.count(), threads);
        std::vector<std::atomic<int>> runs(500);
        std::atomic<int> strangers{0};
        for (std::size_t i = 0; i < runs.size(); ++i) {
            workers.submit(group, [&, i](int worker) {
                ++runs[i];
                if (worker < 0 || worker >= threads) ++strangers;
            });
        }
        group.wait();
        EXPECT_TRUE(group.is_done());
        EXPECT_EQ(strangers, 0);
        for (const auto& count : runs) EXPECT_EQ(count, 1);
    }
}

TEST(workers, one_thread_runs_tasks_in_the_order_they_came) {
    Workers::Group group;
    Workers workers(1);
    std::vector<int> order;
    for (int i = 0; i < 100; ++i) workers.submit(group, [&order, i](int) { order.push_back(i); });
    group.wait();
    for (int i = 0; i < 100; ++i) EXPECT_EQ(order[static_cast<std::size_t>(i)], i);
}

TEST(workers, the_first_exception_of_a_group_is_thrown_by_its_wait_and_once) {
    Workers::Group group;
    Workers workers(1);
    std::atomic<int> done{0};
    workers.submit(group, [](int) { throw std::runtime_error("first"); });
    workers.submit(group, [](int) { throw std::logic_error("second"); });
    workers.submit(group, [&](int) { ++done; });
    EXPECT_THROW(group.wait(), std::runtime_error);
    EXPECT_EQ(done, 1);
    EXPECT_NO_THROW(group.wait());
}

TEST(workers, a_failure_of_one_group_is_none_of_another) {
    Workers::Group failing;
    Workers::Group whole;
    Workers workers(2);
    workers.submit(failing, [](int) { throw std::runtime_error("no"); });
    workers.submit(whole, [](int) {});
    EXPECT_NO_THROW(whole.wait());
    EXPECT_THROW(failing.wait(), std::runtime_error);
}

TEST(workers, ending_the_set_drops_what_has_not_begun_and_lets_nobody_wait_for_it) {
    Workers::Group group;
    std::atomic<int> runs{0};
    {
        std::atomic<bool> begun{false};
        Workers workers(1);
        workers.submit(group, [&](int) {
            begun = true;
            begun.notify_one();
            ++runs;
        });
        begun.wait(false);
        for (int i = 0; i < 1000; ++i) workers.submit(group, [&](int) { ++runs; });
    }
    group.wait();
    EXPECT_GE(runs, 1);
    EXPECT_TRUE(group.is_done());
}

TEST(workers, fewer_than_one_thread_is_one) {
    EXPECT_EQ(Workers(0).count(), 1);
    EXPECT_GE(default_thread_count(), 1);
}

}  // namespace
}  // namespace hangtrue::base
