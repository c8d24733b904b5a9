// SPDX-License-Identifier: Apache-2.0
// Shops through the real program: begun ones, broken ones, and media that are gone.

#include <gmock/gmock.h>

#include "tests/cli/program.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;
using testing::Not;

void write_text(const fs::path& file, const std::string& text) {
    support::write_bytes(file, std::as_bytes(std::span(text)));
}

TEST(cli_shop, an_umlaut_in_a_shops_name_is_spelled_without_it_and_the_letter_names_no_medium_of_the_template) {
    const Studio studio;
    const Ran begun = studio.run({"shop", "new", "Test & S\u00f6hne", "--json"});
    ASSERT_EQ(begun.status, 0) << begun.err;
    EXPECT_EQ(begun.json()["file"], (studio.data / "shops/test-sohne.toml").string());
    const Ran letter = studio.run({"shop", "questions", "test-sohne"});
    EXPECT_EQ(letter.status, 0) << letter.err;
    EXPECT_THAT(letter.out, HasSubstr("Dear Test & S\u00f6hne team"));
    EXPECT_THAT(letter.out, HasSubstr("What do you print on"));
    EXPECT_THAT(letter.out, Not(HasSubstr("Lustre")));
    const Ran checked = studio.run({"shop", "check", "test-sohne"});
    EXPECT_EQ(checked.status, 0) << checked.err;
    EXPECT_THAT(checked.out, HasSubstr("it has no medium yet"));
    EXPECT_THAT(studio.run({"shop", "list"}).out, HasSubstr("no medium yet"));
}

TEST(cli_shop, one_broken_file_is_told_and_takes_nothing_from_the_other_shops) {
    const Studio studio;
    write_text(studio.data / "shops/broken.toml", "format = 1\nname = 7\n");
    const std::string told = "broken.toml, line 2, column 8";

    const Ran list = studio.run({"shop", "list", "--json"});
    EXPECT_EQ(list.status, 0);
    EXPECT_EQ(list.json()["shops"].size(), 1u);
    ASSERT_EQ(list.json()["broken_shops"].size(), 1u);
    EXPECT_THAT(list.json()["broken_shops"][0]["sentence"].get<std::string>(), HasSubstr(told));
    EXPECT_THAT(list.err, HasSubstr(told));

    const Ran sizes = studio.run({"sizes", studio.picture.string()});
    EXPECT_EQ(sizes.status, 0);
    EXPECT_THAT(sizes.out, HasSubstr("Plain paper"));
    EXPECT_THAT(sizes.err, HasSubstr(told));

    const Ran made = studio.make();
    EXPECT_EQ(made.status, 0);
    EXPECT_THAT(made.err, HasSubstr(told));

    for (const char* verb : {"check", "make"}) {
        const Ran ran =
            studio.run({verb, studio.picture.string(), "--shop", "broken", "--medium", "m", "--size", "3x2in"});
        EXPECT_EQ(ran.status, 3) << verb;
        EXPECT_EQ(ran.err.find(told), ran.err.rfind(told)) << "told once: " << ran.err;
    }
    EXPECT_EQ(studio.run({"shop", "show", "broken"}).status, 3);
    EXPECT_EQ(studio.run({"sizes", studio.picture.string(), "--shop", "broken"}).status, 3);
}

TEST(cli_make, a_plan_whose_medium_is_gone_is_stopped_in_so_many_words_unless_passed) {
    const Studio studio;
    const std::string plan = (studio.root() / "ridge.plan").string();
    ASSERT_EQ(studio.make({"--save-plan", plan}).status, 0);
    const Words again{"make", studio.picture.string(), "--plan", plan, "--to", studio.out.string(), "--replace"};
    EXPECT_EQ(studio.run(again).status, 0);

    std::string other = test_shop();
    other.replace(other.find("plain-paper"), 11, "other-paper");
    write_text(studio.data / "shops/test-prints.toml", other);
    const Ran stopped = studio.run(again);
    EXPECT_EQ(stopped.status, 1);
    EXPECT_THAT(stopped.err, HasSubstr("\"Plain paper\" (plain-paper) from Test Prints (test-prints)"));
    EXPECT_THAT(stopped.err, HasSubstr("--anyway"));
    Words passing = again;
    passing.push_back("--anyway");
    EXPECT_EQ(studio.run(passing).status, 0);

    fs::remove(studio.data / "shops/test-prints.toml");
    EXPECT_EQ(studio.run(again).status, 1);
    write_text(studio.data / "shops/test-prints.toml", "format = 1\nname = 7\n");
    EXPECT_EQ(studio.run(passing).status, 3) << "the rules are there, but cannot be read";
}

TEST(cli_make, what_goes_wrong_with_a_print_of_a_list_names_its_line_and_picture) {
    const Studio studio;
    const std::string print = "[[print]]\npicture = \"ridge.tif\"\nshop = \"test-prints\"\nmedium = \"plain-paper\"\n";
    const fs::path list = studio.root() / "list.toml";
    const Words making{"make", "--list", list.string(), "--to", studio.out.string()};
    write_text(list, "format = 1\n\n" + print + "size = \"3x2in\"\n\n" + print + "size = \"5x5in\"\n");
    const Ran ran = studio.run(making);
    EXPECT_EQ(ran.status, 2);
    EXPECT_THAT(ran.err, HasSubstr("list.toml, line 9, ridge.tif: \"Plain paper\" is not offered in 5 x 5 in"));
    EXPECT_EQ(print_files(studio).size(), 1u) << "the other one is made";

    write_text(list, "format = 1\n\n" + print + "size = \"large\"\n");
    const Ran wrong = studio.run(making);
    EXPECT_EQ(wrong.status, 3);
    EXPECT_THAT(wrong.err, HasSubstr("list.toml, line 7, column 8"));
    EXPECT_THAT(wrong.err, HasSubstr("for ridge.tif: size \"large\" is not understood"));
}

TEST(cli_make, of_several_prints_each_failure_names_its_picture_and_size) {
    const Studio studio;
    const Ran ran = studio.make({"--size", "5x5in"});
    EXPECT_EQ(ran.status, 2);
    EXPECT_THAT(ran.err, HasSubstr("hangtrue: ridge.tif, 5 x 5 in: \"Plain paper\" is not offered"));
}

TEST(cli_make, a_gap_without_panels_ends_with_2) {
    const Studio studio;
    const Ran ran = studio.make({"--gap", "20mm"});
    EXPECT_EQ(ran.status, 2);
    EXPECT_THAT(ran.err, HasSubstr("ask for 2 to 5 with --panels, or leave --gap out."));
}

}  // namespace
}  // namespace hangtrue::cli_test
