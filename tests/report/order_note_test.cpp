// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <set>
#include <sstream>

#include "engine/base/units_text.h"
#include "engine/report/words.h"
#include "tests/report/support.h"
#include "tests/support/random.h"

namespace hangtrue::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

TEST(report_note, says_file_size_promise_and_the_rest_where_there_is_room) {
    EXPECT_EQ(order_note(ordinary_ticket()),
              "ridge-at-dawn_brushed-metal_36x24in.tif: 36 x 24 in (91.4 x 61 cm), Brushed metal, 2 copies. To be "
              "printed as it is: no colour change, no retouching, no resizing. 7250 x 4850 px, 200 ppi. Bleed of "
              "0.125 in on each side, outside the finished size.");
}

TEST(report_note, of_an_empty_ticket_is_the_promise) {
    EXPECT_EQ(order_note({}), std::string("To be ") + promise + ".");
}

TEST(report_note, names_panel_and_copies_before_pixels_edges_and_medium) {
    Ticket ticket = ordinary_ticket();
    ticket.file_name = std::string(80, 'n') + ".tif";
    ticket.panels = 3;
    ticket.panel = 2;
    const std::string note = order_note(ticket);
    EXPECT_THAT(note, HasSubstr("panel 2 of 3, 2 copies"));
    EXPECT_THAT(note, HasSubstr(ticket.file_name));
    EXPECT_THAT(note, HasSubstr(ticket.finished_size));
    EXPECT_THAT(note, Not(HasSubstr("Bleed")));
}

TEST(report_note, a_very_long_file_name_keeps_its_beginning_and_its_ending) {
    Ticket ticket = ordinary_ticket();
    ticket.file_name = "Ridge" + std::string(300, 'n') + "_36x24in.tif";
    const std::string note = order_note(ticket);
    EXPECT_THAT(note, StartsWith("Ridgennn"));
    EXPECT_THAT(note, HasSubstr("...nnn"));
    EXPECT_THAT(note, HasSubstr("_36x24in.tif: 36 x 24 in"));
    EXPECT_LE(character_count(note), 250);
}

/// Words, some of them long and some in other scripts, between odd spaces.
std::string random_text(std::mt19937_64& random, int most_words) {
    const std::array<std::string, 9> words = {"a",        "metal",  "36x24in", "Grüße",         "日本語の写真",
                                              "\xff\xfe", "d'été,", "🏔️", "tab\tand\nline"};
    std::string text;
    for (auto count = random() % static_cast<unsigned>(most_words + 1); count > 0; --count) {
        text += random() % 6 == 0 ? std::string(random() % 120, 'w') : words[random() % words.size()];
        text += random() % 9 == 0 ? "  " : " ";
    }
    return text;
}

TEST(report_note, never_passes_250_characters_nor_loses_the_promise_nor_cuts_a_word) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int round = 0; round < 3000; ++round) {
        Ticket ticket;
        ticket.file_name = random_text(random, 12);
        ticket.finished_size = random_text(random, 10);
        ticket.medium_name = random_text(random, 8);
        ticket.edges = random_text(random, 20);
        ticket.pixels = {static_cast<int>(random() % 60'000), static_cast<int>(random() % 60'000)};
        ticket.ppi = static_cast<double>(random() % 60'000) / 100;
        ticket.quantity = static_cast<int>(random() % 1000);
        ticket.panels = static_cast<int>(1 + random() % 5);
        const std::string note = order_note(ticket);
        SCOPED_TRACE("round " + std::to_string(round) + ": " + note);
        ASSERT_LE(character_count(note), 250);
        ASSERT_THAT(note, HasSubstr(promise));
        // One line of valid text with single spaces.
        ASSERT_EQ(note, utf8(one_line(note)));
        // Each word is one of the ticket's, of the note's own, or a marked remainder of a long one.
        std::set<std::string> known = {"To",
                                       "be",
                                       "printed",
                                       "as",
                                       "it",
                                       "is",
                                       "no",
                                       "colour",
                                       "change",
                                       "retouching",
                                       "resizing",
                                       "px",
                                       "ppi",
                                       "x",
                                       "panel",
                                       "of",
                                       "copies",
                                       std::to_string(ticket.panel),
                                       std::to_string(ticket.panels),
                                       base::count_text(ticket.quantity),
                                       std::to_string(ticket.pixels.width),
                                       std::to_string(ticket.pixels.height),
                                       base::number_text(ticket.ppi, 2)};
        const auto bare = [](std::string word) {
            while (!word.empty() && std::string_view(".,:").find(word.back()) != std::string_view::npos)
                word.pop_back();
            return word;
        };
        for (const std::string& text : {ticket.file_name, ticket.finished_size, ticket.medium_name, ticket.edges}) {
            std::istringstream words(utf8(one_line(text)));
            for (std::string word; words >> word;) known.insert(bare(word));
        }
        std::istringstream words(note);
        for (std::string word; words >> word;) {
            ASSERT_TRUE(known.contains(bare(word)) || word.find("...") != std::string::npos) << word;
        }
    }
}

TEST(report_words, broken_utf_8_becomes_question_marks) {
    EXPECT_EQ(utf8(one_line("a\xff"
                            "b")),
              "a?b");
    EXPECT_EQ(utf8(one_line("\xc3")), "?");
    EXPECT_EQ(utf8(one_line("\xe0\x80\x80")), "???");       // Too long a form of zero.
    EXPECT_EQ(utf8(one_line("\xed\xa0\x80")), "???");       // A surrogate.
    EXPECT_EQ(utf8(one_line("\xf4\x90\x80\x80")), "????");  // Beyond 10FFFF.
    EXPECT_EQ(utf8(one_line("日本 é 🏔")), "日本 é 🏔");
    EXPECT_EQ(character_count("日本 é 🏔"), 6);
}

TEST(report_words, spaces_and_control_characters_become_single_spaces) {
    EXPECT_EQ(utf8(one_line(" \t a\r\n\n b\x7f c ")), "a b c");
    EXPECT_EQ(utf8(one_line(" \n ")), "");
}

TEST(report_words, are_cut_behind_a_whole_word) {
    EXPECT_EQ(shortened(U"one two three", 13), U"one two three");
    EXPECT_EQ(shortened(U"one two three", 12), U"one two...");
    EXPECT_EQ(shortened(U"one two three", 10), U"one two...");
    EXPECT_EQ(shortened(U"one two three", 9), U"one...");
    EXPECT_EQ(shortened(U"abcdefghijklmnop.tif", 12), U"abcdef...tif");
    EXPECT_EQ(shortened(U"abcdef", 2), U"..");
    EXPECT_EQ(shortened(U"abcdef", -1), U"");
}

TEST(report_words, dates_are_written_out) {
    EXPECT_EQ(date_words("2026-03-14"), "14 March 2026");
    EXPECT_EQ(date_words("2026-12-01T09:26:53Z"), "1 December 2026");
    EXPECT_EQ(date_words("soon"), "soon");
    EXPECT_EQ(date_words("2026-13-14"), "2026-13-14");
    EXPECT_EQ(date_words(""), "");
}

}  // namespace
}  // namespace hangtrue::report
