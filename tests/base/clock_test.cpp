// SPDX-License-Identifier: Apache-2.0
#include "engine/base/clock.h"

#include <gtest/gtest.h>

namespace hangtrue::base {
namespace {

TEST(clock, timestamps_are_iso_8601_in_utc) {
    // 1773480413 s after 1970 is 14 March 2026, 09:26:53 UTC (date -u -d @1773480413).
    EXPECT_EQ(timestamp(std::chrono::system_clock::from_time_t(1773480413)), "2026-03-14T09:26:53Z");
    EXPECT_EQ(timestamp(std::chrono::system_clock::from_time_t(0)), "1970-01-01T00:00:00Z");
}

TEST(clock, a_stopwatch_adds_to_its_total) {
    double total = 5;
    { const Stopwatch watch(total); }
    EXPECT_GE(total, 5);
    EXPECT_LT(total, 6);
}

}  // namespace
}  // namespace hangtrue::base
