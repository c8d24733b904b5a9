// SPDX-License-Identifier: Apache-2.0
// The manual page and the shell's completion, as man and bash take them.

#include <gmock/gmock.h>
#include <sys/wait.h>

#include <cstdio>
#include <fstream>
#include <sstream>

#include "tests/cli/program.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;
using testing::Not;

/// What a command line says on standard output and standard error, and its status.
Ran shell(const std::string& line) {
    Ran ran;
    std::FILE* pipe = popen(("{ " + line + " ; } 2>&1").c_str(), "r");
    if (pipe == nullptr) throw std::runtime_error("popen");
    char buffer[4096];
    while (std::fgets(buffer, sizeof buffer, pipe) != nullptr) ran.out += buffer;
    const int state = pclose(pipe);
    ran.status = WIFEXITED(state) ? WEXITSTATUS(state) : -1;
    return ran;
}

bool has_program(const std::string& name) { return shell("command -v " + name).status == 0; }

/// A file in the test's own folder.
fs::path kept(const support::TemporaryFolder& folder, const std::string& name, const std::string& text) {
    const fs::path file = folder.path() / name;
    std::ofstream(file) << text;
    return file;
}

/// All words of the table that begin with two dashes.
std::vector<std::string> dashed_options() {
    std::vector<std::string> options;
    std::istringstream page(run_program({"help", "--markdown"}).out);
    for (std::string line; std::getline(page, line);) {
        if (line.starts_with("| `--")) options.push_back(line.substr(3, line.find_first_of(" `", 3) - 3));
    }
    return options;
}

TEST(cli_manual, man_reads_the_page_without_a_warning_and_shows_each_option) {
    if (!has_program("man")) GTEST_SKIP() << "man is not installed";
    const support::TemporaryFolder folder;
    const Ran page = run_program({"help", "--man"});
    ASSERT_EQ(page.status, 0);
    const fs::path file = kept(folder, "hangtrue.1", page.out);
    // -P cat: no pager; MANWIDTH: one width everywhere; man's own warnings are those of troff.
    const Ran shown = shell("LC_ALL=C.UTF-8 MANWIDTH=100 man --warnings=w -E UTF-8 -P cat -l " + file.string());
    ASSERT_EQ(shown.status, 0) << shown.out;
    EXPECT_THAT(shown.out, Not(HasSubstr("warning")));
    const std::vector<std::string> options = dashed_options();
    ASSERT_GE(options.size(), 30u);
    for (const std::string& option : options) EXPECT_THAT(shown.out, HasSubstr(option));
    for (const char* verb : {"sizes", "ledger again", "test scan"}) EXPECT_THAT(shown.out, HasSubstr(verb));
}

/// What bash offers where `line` ends; its last word is what is begun.
std::vector<std::string> offered(const fs::path& completion, const std::string& line) {
    const Ran ran = shell("bash --norc --noprofile -c 'source \"" + completion.string() + "\"; COMP_WORDS=(" + line +
                          "); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _hangtrue; printf \"%s\\n\" \"${COMPREPLY[@]}\"'");
    EXPECT_EQ(ran.status, 0) << ran.out;
    std::vector<std::string> words;
    std::istringstream lines(ran.out);
    for (std::string word; std::getline(lines, word);) {
        if (!word.empty()) words.push_back(word);
    }
    return words;
}

TEST(cli_manual, bash_completes_verbs_options_and_the_words_that_an_option_takes) {
    if (!has_program("bash")) GTEST_SKIP() << "bash is not installed";
    const support::TemporaryFolder folder;
    const Ran text = run_program({"help", "--bash-completion"});
    ASSERT_EQ(text.status, 0);
    const fs::path file = kept(folder, "hangtrue.bash", text.out);
    EXPECT_THAT(offered(file, "hangtrue ma"), testing::ElementsAre("make"));
    EXPECT_THAT(offered(file, "hangtrue ledger a"), testing::ElementsAre("again"));
    EXPECT_THAT(offered(file, "hangtrue --data /tmp --quiet ledger l"), testing::ElementsAre("list"));
    EXPECT_THAT(offered(file, "hangtrue make a.tif --gra"), testing::ElementsAre("--grain"));
    EXPECT_THAT(offered(file, "hangtrue make a.tif --grain c"), testing::ElementsAre("calm"));
    EXPECT_THAT(offered(file, "hangtrue test answer 1 --sec"), testing::ElementsAre("--second"));
    EXPECT_THAT(offered(file, "hangtrue --uni"), testing::ElementsAre("--units"));
    // `sizes` takes no grain; where a file's name belongs, bash's own completion is left to it.
    EXPECT_THAT(offered(file, "hangtrue sizes --gra"), testing::IsEmpty());
    EXPECT_THAT(offered(file, "hangtrue make picos"), testing::IsEmpty());
}

}  // namespace
}  // namespace hangtrue::cli_test
