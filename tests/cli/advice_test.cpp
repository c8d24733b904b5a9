// SPDX-License-Identifier: Apache-2.0
// What a sentence advises can be done: it names no option that the verb lacks.

#include <gmock/gmock.h>

#include <regex>
#include <set>

#include "tests/cli/program.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;
using testing::Not;

/// "--to" and its like in a text.
std::set<std::string> options_named(const std::string& text) {
    static const std::regex option("--[a-z][a-z-]*");
    std::set<std::string> names;
    for (std::sregex_iterator it(text.begin(), text.end(), option), end; it != end; ++it) names.insert(it->str());
    return names;
}

void expect_only_its_own_options(const Words& verb, const std::string& sentences) {
    Words asking = verb;
    asking.push_back("--help");
    const std::set<std::string> known = options_named(run_program(asking).out);
    for (const std::string& name : options_named(sentences)) {
        EXPECT_TRUE(known.contains(name)) << "`" << verb.front() << "` has no " << name << ": " << sentences;
    }
}

/// What goes wrong with each verb that writes: its words, the environment, and what must be told.
struct Failing {
    Words verb;
    Words words;
    std::map<std::string, std::string> environment;
    std::string told;
};

std::vector<Failing> failing_verbs(const Studio& studio) {
    const std::string picture = studio.picture.string();
    const std::string taken = (studio.root() / "taken.png").string();
    const std::string nowhere = (studio.root() / "nowhere").string();
    const std::string other = (studio.root() / "other").string();
    fs::create_directory(other);
    support::write_bytes(taken, std::as_bytes(std::span("x", 1)));
    const auto printing = [&](const std::string& to) {
        return Words{picture, "--shop", "test-prints", "--medium", "plain-paper", "--size", "3x2in", "--to", to};
    };
    const auto viewing = [&](const std::string& out) {
        return Words{picture, "--shop", "test-prints", "--medium", "plain-paper", "--size", "3x2in", "--out", out};
    };
    Words plan_taken = printing(other);
    plan_taken.insert(plan_taken.end(), {"--save-plan", taken});
    std::vector<Failing> all{
        {{"make"}, printing(studio.out.string()), {}, "Have it replaced (--replace), or choose another folder (--to)."},
        {{"make"}, printing(nowhere), {}, "choose another folder (--to)"},
        {{"make"}, plan_taken, {}, "Have it replaced (--replace)"},
        {{"view"}, viewing(taken), {}, "Have it replaced (--replace), or choose another name."},
        {{"view"}, viewing(nowhere + "/a.png"), {}, "choose another folder."},
        {{"enlarge"}, {picture, taken, "--factor", "2"}, {}, "Have it replaced (--replace), or choose another name."},
        {{"enlarge"}, {picture, nowhere + "/a.png", "--factor", "2"}, {}, "choose another folder."},
        {{"ledger", "again"},
         {"1", "--to", studio.out.string()},
         {},
         "Have it replaced (--replace), or choose another"},
        {{"ledger", "again"}, {"1", "--to", nowhere}, {}, "choose another folder (--to)"},
        {{"shop", "new"}, {"Test Prints"}, {}, "give the new shop another name"},
    };
    const std::map<std::string, std::string> full{{"HANGTRUE_FAULT", "ENOSPC@write"}};
    all.push_back({{"make"}, printing(other), full, "choose another folder (--to)"});
    all.push_back({{"ledger", "again"}, {"1", "--to", other}, full, "choose another folder (--to)"});
    all.push_back({{"enlarge"}, {picture, other + "/b.tif", "--factor", "2"}, full, "choose another folder."});
    all.push_back({{"shop", "new"}, {"Nobody Yet"}, full, "choose another folder."});
    return all;
}

TEST(cli_advice, names_only_options_that_the_verb_has) {
    const Studio studio;
    ASSERT_EQ(studio.make().status, 0);
    for (const Failing& failing : failing_verbs(studio)) {
        Words words = failing.verb;
        words.insert(words.end(), failing.words.begin(), failing.words.end());
        const Ran ran = studio.run(words, {failing.environment, "", {}});
        SCOPED_TRACE(testing::PrintToString(words));
        EXPECT_EQ(ran.status, 4);
        EXPECT_THAT(ran.err, HasSubstr(failing.told));
        expect_only_its_own_options(failing.verb, ran.err);
        words.push_back("--json");
        const Ran as_json = studio.run(words, {failing.environment, "", {}});
        EXPECT_THAT(as_json.out, HasSubstr(failing.told));
        expect_only_its_own_options(failing.verb, as_json.out);
    }
}

TEST(cli_advice, of_findings_names_only_options_of_check_and_make) {
    const Studio studio;
    for (const char* verb : {"check", "make"}) {
        Words words = studio.making({"--json"});
        words[0] = verb;
        words[7] = "6x4in";
        if (words[0] == "check") words.erase(words.begin() + 8, words.begin() + 10);
        const Ran ran = studio.run(words);
        EXPECT_EQ(ran.status, 0) << ran.err;
        expect_only_its_own_options({verb}, ran.out);
    }
}

TEST(cli_advice, of_a_lost_picture_says_how_the_ledger_is_told_where_it_is) {
    const Studio studio;
    const auto record = studio.make({"--json"}).json()["ledger_id"];
    fs::remove(studio.picture);
    fs::create_directory(studio.root() / "again");
    const Ran ran = studio.run({"ledger", "again", record.dump(), "--to", (studio.root() / "again").string()});
    EXPECT_NE(ran.status, 0);
    EXPECT_THAT(ran.err, HasSubstr("in which folder to look (--picture)"));
}

}  // namespace
}  // namespace hangtrue::cli_test
