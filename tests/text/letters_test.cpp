// SPDX-License-Identifier: Apache-2.0
#include "engine/text/letters.h"

#include <gtest/gtest.h>

#include <random>

#include "tests/support/random.h"

namespace hangtrue::text {
namespace {

TEST(text_letters, latin_letters_lose_their_accents_and_others_become_a_line) {
    EXPECT_EQ(ascii_folded("S\u00f6hne, \u00c9t\u00e9, Stra\u00dfe, \u0141\u00f3d\u017a, \u00c6r\u00f8"),
              "Sohne, Ete, Strasse, Lodz, AEro");
    EXPECT_EQ(ascii_folded("e\u0301"), "e");  // The accent as a letter of its own.
    EXPECT_EQ(ascii_folded("\u5c71\xff"), "__");
}

TEST(text_letters, a_short_name_keeps_letters_and_digits) {
    EXPECT_EQ(id_of("Test & S\u00f6hne"), "test-sohne");
    EXPECT_EQ(id_of("Quillfen Prints"), "quillfen-prints");
    EXPECT_EQ(id_of("  \u00c9clair 24/7!  "), "eclair-24-7");
    EXPECT_EQ(id_of("\u017bubr\u00f3wka Gro\u00df-Druck GmbH"), "zubrowka-gross-druck-gmbh");
    EXPECT_EQ(id_of("\u5c71"), "");
    EXPECT_EQ(id_of("?!"), "");
    EXPECT_EQ(id_of(""), "");
}

TEST(text_letters, any_bytes_make_a_short_name_of_small_letters_digits_and_single_hyphens) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int round = 0; round < 3000; ++round) {
        std::string name;
        for (auto length = random() % 30; length > 0; --length) name += static_cast<char>(random() % 256);
        const std::string id = id_of(name);
        ASSERT_EQ(id.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-"), std::string::npos) << id;
        ASSERT_EQ(id.find("--"), std::string::npos) << id;
        ASSERT_FALSE(id.starts_with('-') || id.ends_with('-')) << id;
        ASSERT_EQ(id_of(id), id);
    }
}

TEST(text_letters, characters_are_counted_not_bytes) {
    EXPECT_EQ(characters_in("S\u00f6hne"), 5U);
    EXPECT_EQ(characters_in("\xff\xfe"), 2U);
    EXPECT_TRUE(is_utf8("S\u00f6hne\n"));
    EXPECT_FALSE(is_utf8("\xc3"));
    EXPECT_FALSE(is_utf8("a\x01"));
    EXPECT_FALSE(is_utf8("\xed\xa0\x80"));  // Half of a surrogate pair.
}

}  // namespace
}  // namespace hangtrue::text
