// SPDX-License-Identifier: Apache-2.0
#include "engine/base/faults.h"

#include <gtest/gtest.h>

#include <cerrno>
#include <set>

#include "engine/base/error.h"

namespace hangtrue::base {
namespace {

TEST(faults, every_step_and_call_has_a_name_of_its_own) {
    std::set<std::string_view> names;
    for (const Step step : {Step::temporary_made, Step::half_written, Step::written, Step::synced, Step::verified,
                            Step::intention_noted, Step::renamed, Step::recorded}) {
        names.insert(name_of(step));
    }
    for (const Call call : {Call::write, Call::sync, Call::rename, Call::sync_folder}) names.insert(name_of(call));
    EXPECT_EQ(names.size(), 12U);
    EXPECT_EQ(name_of(Step::half_written), "half-written");
}

TEST(faults, by_default_nothing_fails_and_nothing_is_altered) {
    Faults faults;
    EXPECT_EQ(faults.failing(Call::write), 0);
    EXPECT_FALSE(faults.alters());
}

TEST(errors, the_system_has_words_for_a_full_disk) { EXPECT_EQ(system_text(ENOSPC), "No space left on device"); }

}  // namespace
}  // namespace hangtrue::base
