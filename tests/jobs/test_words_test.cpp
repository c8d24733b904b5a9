// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/test_words.h"

#include <gmock/gmock.h>

#include "engine/trial/learn.h"

namespace hangtrue {
namespace {

using jobs::is_enough;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;
using trial::Learned;

/// As after answers that left nothing to be gained.
Learned by_eye(int sheets, bool is_applied) {
    Learned learned;
    learned.by = Learned::By::eye;
    learned.sheets = sheets;
    learned.is_applied = is_applied;
    learned.error = trial::good_enough / 2;
    return learned;
}

TEST(test_words, a_correction_by_eye_is_not_left_to_a_single_answer) {
    EXPECT_FALSE(is_enough(by_eye(1, true), std::nullopt));
    EXPECT_TRUE(is_enough(by_eye(2, true), std::nullopt));
    // Where nothing is to be corrected, nothing can go wrong by it.
    EXPECT_TRUE(is_enough(by_eye(1, false), std::nullopt));
}

TEST(test_words, one_scan_that_fits_is_enough) {
    Learned learned;
    learned.by = Learned::By::scan;
    learned.sheets = 1;
    learned.is_applied = true;
    learned.error = 1.9;
    EXPECT_TRUE(is_enough(learned, std::nullopt));
    learned.error = 2.1;
    EXPECT_FALSE(is_enough(learned, std::nullopt));
}

TEST(test_words, a_sheet_that_would_hardly_gain_is_not_asked_for) {
    Learned learned = by_eye(2, true);
    learned.error = trial::good_enough + 1;
    EXPECT_TRUE(is_enough(learned, learned.error - 0.1));
    EXPECT_FALSE(is_enough(learned, learned.error - 0.5));
}

TEST(test_words, say_why_a_second_sheet_is_asked_for_and_what_it_costs) {
    jobs::TestStatus status;
    status.learned = by_eye(1, true);
    status.sheets_made = 1;
    status.sheet_cents = 1250;
    status.currency = "EUR";
    status.error_after_next = trial::good_enough / 2;
    EXPECT_THAT(jobs::status_sentences(status), Contains(HasSubstr("was a slip of the eye")));
    EXPECT_THAT(jobs::status_sentences(status), Contains(HasSubstr("12.50")));
    status.is_enough = true;
    EXPECT_THAT(jobs::status_sentences(status), Not(Contains(HasSubstr("slip of the eye"))));
}

}  // namespace
}  // namespace hangtrue
