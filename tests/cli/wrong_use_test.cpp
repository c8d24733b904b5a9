// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>

#include "engine/jobs/make.h"
#include "tests/cli/program.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;

/// What was asked, and words that the sentence must hold.
struct WrongUse {
    Words words;
    std::string sentence;
};

void PrintTo(const WrongUse& use, std::ostream* out) { *out << testing::PrintToString(use.words); }

class cli_wrong_use : public testing::TestWithParam<WrongUse> {};

TEST_P(cli_wrong_use, ends_with_2_and_a_sentence_that_helps) {
    const Ran ran = run_program(GetParam().words, {{{"HOME", ""}, {"XDG_DATA_HOME", "not/absolute"}}, "", {}});
    EXPECT_EQ(ran.status, 2);
    EXPECT_EQ(ran.out, "");
    EXPECT_THAT(ran.err, HasSubstr(GetParam().sentence));
    EXPECT_TRUE(ran.err.starts_with("hangtrue: ")) << ran.err;
    EXPECT_TRUE(ran.err.ends_with("\n"));
}

INSTANTIATE_TEST_SUITE_P(
    words, cli_wrong_use,
    testing::Values(
        WrongUse{{}, "Say what to do"},                                                      //
        WrongUse{{"maek"}, "Did you mean make?"},                                            //
        WrongUse{{"shop"}, "list, show, new, check, questions"},                             //
        WrongUse{{"shop", "lsit"}, "Did you mean list?"},                                    //
        WrongUse{{"ledger", "agian", "1"}, "Did you mean again?"},                           //
        WrongUse{{"sizes"}, "sizes PICTURE"},                                                //
        WrongUse{{"sizes", "a.jpg", "--shpo", "x"}, "Did you mean --shop?"},                 //
        WrongUse{{"--jsno", "sizes", "a.jpg"}, "Did you mean --json?"},                      //
        WrongUse{{"--size", "3x2in", "make"}, "Say first what to do"},                       //
        WrongUse{{"sizes", "a.jpg", "--factor", "2"}, "`sizes` takes no --factor"},          //
        WrongUse{{"sizes", "a.jpg", "--threads"}, "--threads needs a value"},                //
        WrongUse{{"sizes", "a.jpg", "--json=yes"}, "--json takes no value"},                 //
        WrongUse{{"sizes", "a.jpg", "--threads", "0"}, "1 to 256, not \"0\""},               //
        WrongUse{{"sizes", "a.jpg", "--threads", "257"}, "1 to 256, not \"257\""},           //
        WrongUse{{"sizes", "a.jpg", "--threads", "1.5"}, "whole number"},                    //
        WrongUse{{"sizes", "a.jpg", "--threads", "2", "--threads", "3"}, "more than once"},  //
        WrongUse{{"sizes", "a.jpg", "--units", "ft"}, "--units takes in|cm, not \"ft\""},    //
        WrongUse{{"sizes", "a.jpg"}, "--data FOLDER"},                                       //
        WrongUse{{"sizes", "a.jpg", "--data", "/nonexistent", "--medium", "m"}, "--shop is missing"},
        WrongUse{{"enlarge", "a.png", "b.png", "--data", "/nonexistent"}, "--factor 2"},  //
        WrongUse{{"enlarge", "a.png", "b.png", "--factor", "9"}, "0.001 to 8"},           //
        WrongUse{{"enlarge", "a.png", "b.png", "c.png", "--factor", "2"}, "\"c.png\""},   //
        WrongUse{{"ledger", "show", "first", "--data", "/nonexistent"}, "whole number"},  //
        WrongUse{{"view", "a.jpg", "--data", "/nonexistent"}, "--out FILE.png"},          //
        WrongUse{{"make", "--data", "/nonexistent"}, "which picture"},                    //
        WrongUse{{"make", "a.jpg", "--data", "/nonexistent", "--shop", "s", "--size", "3x2in"}, "--medium is missing"},
        WrongUse{{"make", "a.jpg", "--list", "l.toml", "--data", "/nonexistent"}, "--list"},  //
        WrongUse{{"make", "--list", "l.toml", "--ppi", "100", "--data", "/nonexistent"}, "--ppi"},
        WrongUse{{"make", "a.jpg", "--plan", "p.toml", "--bits", "8", "--data", "/nonexistent"}, "--bits"},
        WrongUse{{"make", "a.jpg", "--shop", "s", "--medium", "m", "--size", "large", "--data", "/nonexistent"},
                 "--size \"large\""},
        WrongUse{{"verify", "a.tif", "b.tif", "--plan", "p.toml", "--data", "/nonexistent"}, "one file"},
        WrongUse{{"shop", "new", "???", "--data", "/nonexistent"}, "letter or digit"}));

TEST(cli_wrong_use_as_json, is_one_document_with_status_and_sentence) {
    for (const Words& words : {Words{"--json", "maek"}, Words{"sizes", "--json", "--shpo"}, Words{"--json"}}) {
        const Ran ran = run_program(words);
        EXPECT_EQ(ran.status, 2);
        const Json json = ran.json();
        EXPECT_EQ(json["status"], 2);
        EXPECT_EQ(json["ending"], "wrong-use");
        EXPECT_EQ("hangtrue: " + json["sentence"].get<std::string>() + "\n", ran.err);
    }
}

TEST(cli_wrong_use_of_faults, an_unknown_test_fault_is_refused) {
    for (const char* fault : {"kill", "kill@nowhere", "EIO@read", "flip@x", "ENOSPC@write:"}) {
        const Ran ran = run_program({"shop", "list", "--data", "/nonexistent"}, {{{"HANGTRUE_FAULT", fault}}, "", {}});
        EXPECT_EQ(ran.status, 2) << fault;
        EXPECT_THAT(ran.err, HasSubstr("HANGTRUE_FAULT"));
    }
}

std::string file_text(const fs::path& file) {
    const auto bytes = support::file_bytes(file);
    std::string text;
    for (const std::byte byte : bytes) text += static_cast<char>(byte);
    return text;
}

struct Documented {
    std::vector<std::string> verbs;
    std::map<std::string, Words> options;    ///< Of each verb, with dashes.
    std::map<std::string, Words> using_all;  ///< The same, a value after each that takes one.
};

/// What the page says, read from its tables: an option's first cell, and the verbs in its last.
Documented documented(const std::string& page) {
    Documented found;
    std::istringstream lines(page);
    std::string section;
    for (std::string line; std::getline(lines, line);) {
        if (line.starts_with("## ")) section = line.substr(3);
        if (!line.starts_with("| `")) continue;
        const std::string first = line.substr(3, line.find('`', 3) - 3);
        if (section == "Verbs") {
            std::string name;
            std::istringstream words(first);
            for (std::string word; words >> word && std::islower(static_cast<unsigned char>(word[0])) != 0;) {
                name += (name.empty() ? "" : " ") + word;
            }
            found.verbs.push_back(name);
        } else if (first.starts_with("--")) {
            const std::string option = first.substr(0, first.find(' '));
            for (const std::string& verb : found.verbs) {
                const std::string last = line.substr(line.rfind('|', line.size() - 2));
                if (section != "Everywhere" && last.find("`" + verb + "`") == std::string::npos) continue;
                found.options[verb].push_back(option);
                found.using_all[verb].push_back(option);
                if (option != first) found.using_all[verb].push_back("value");
            }
        }
    }
    return found;
}

Words split(const std::string& text) {
    Words words;
    std::istringstream stream(text);
    for (std::string word; stream >> word;) words.push_back(word);
    return words;
}

TEST(cli_help, the_page_docs_command_line_md_is_what_the_table_says) {
    const Ran ran = run_program({"help", "--markdown"});
    EXPECT_EQ(ran.status, 0);
    EXPECT_EQ(ran.out, file_text(fs::path(HANGTRUE_SOURCE_DIR) / "docs/command-line.md"))
        << "Write it anew: hangtrue help --markdown > docs/command-line.md";
}

TEST(cli_help, the_page_docs_checks_md_is_what_the_table_of_checks_says) {
    const Ran ran = run_program({"help", "--checks"});
    EXPECT_EQ(ran.status, 0);
    EXPECT_EQ(ran.out, file_text(fs::path(HANGTRUE_SOURCE_DIR) / "docs/checks.md"))
        << "Write it anew: hangtrue help --checks > docs/checks.md";
}

TEST(cli_help, each_verb_shows_each_of_its_options_and_the_parser_knows_them_all) {
    const Documented page = documented(run_program({"help", "--markdown"}).out);
    ASSERT_EQ(page.verbs.size(), 22u);
    for (const std::string& verb : page.verbs) {
        Words asking = split(verb);
        asking.push_back("--help");
        const Ran help = run_program(asking);
        EXPECT_EQ(help.status, 0);
        EXPECT_TRUE(help.out.starts_with("hangtrue " + verb)) << help.out;
        ASSERT_GE(page.options.at(verb).size(), 8u);
        for (const std::string& option : page.options.at(verb))
            EXPECT_THAT(help.out, HasSubstr("\n  " + option)) << verb;
        // All at once, --help among them: nothing is held against its range then, but an unknown one is refused.
        Words all = split(verb);
        all.insert(all.end(), page.using_all.at(verb).begin(), page.using_all.at(verb).end());
        const Ran parsed = run_program(all);
        EXPECT_EQ(parsed.status, 0) << parsed.err;
        EXPECT_EQ(parsed.err, "");
    }
    const Ran help = run_program({"--help"});
    EXPECT_EQ(help.status, 0);
    for (const std::string& verb : page.verbs) EXPECT_THAT(help.out, HasSubstr("\n  " + verb + " "));
    for (const char* option : {"--data", "--units", "--threads", "--quiet", "--progress", "--json"}) {
        EXPECT_THAT(help.out, HasSubstr("\n  " + std::string(option)));
    }
    EXPECT_THAT(help.out, HasSubstr("\n  70 "));
}

TEST(cli_help, each_word_of_the_wish_is_an_option_of_make) {
    const std::string help = run_program({"make", "--help"}).out;
    for (const std::string& word : jobs::wish_words()) EXPECT_THAT(help, HasSubstr("\n  --" + word + " "));
}

TEST(cli_help, no_line_is_wider_than_100_letters) {
    for (const Words& words : {Words{"--help"}, Words{"make", "--help"}, Words{"view", "--help"}}) {
        std::istringstream lines(run_program(words).out);
        for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 104u) << line;  // bytes: "…" is three
    }
}

TEST(cli_help, version_is_one_line_and_stands_in_json_too) {
    EXPECT_THAT(run_program({"--version"}).out, testing::MatchesRegex("hangtrue [0-9]+\\.[0-9]+\\.[0-9]+\n"));
    EXPECT_TRUE(run_program({"--version", "--json"}).json()["version"].is_string());
}

}  // namespace
}  // namespace hangtrue::cli_test
