// SPDX-License-Identifier: Apache-2.0
#include "engine/base/nearest.h"

#include <gtest/gtest.h>

#include <vector>

namespace hangtrue::base {
namespace {

const std::vector<std::string> media{"metal", "canvas", "acrylic", "lustre"};

TEST(nearest, a_letter_more_less_or_wrong_finds_the_word) {
    EXPECT_EQ(nearest_word("metall", media), "metal");
    EXPECT_EQ(nearest_word("canvs", media), "canvas");
    EXPECT_EQ(nearest_word("acrilic", media), "acrylic");
    EXPECT_EQ(nearest_word("METAL", media), "metal");
}

TEST(nearest, a_word_further_than_a_third_of_its_length_plus_one_finds_nothing) {
    EXPECT_EQ(nearest_word("wood", media), std::nullopt);
    EXPECT_EQ(nearest_word("", media), std::nullopt);
    // "lustre" has 6 letters: 3 edits are allowed, 4 are not.
    EXPECT_EQ(nearest_word("lusabc", media), "lustre");
    EXPECT_EQ(nearest_word("luabcd", media), std::nullopt);
}

TEST(nearest, of_equals_the_first_is_taken_and_of_none_nothing) {
    const std::vector<std::string> words{"bat", "cat"};
    EXPECT_EQ(nearest_word("rat", words), "bat");
    EXPECT_EQ(nearest_word("rat", {}), std::nullopt);
}

}  // namespace
}  // namespace hangtrue::base
