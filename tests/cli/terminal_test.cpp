// SPDX-License-Identifier: Apache-2.0
// What happens on terminals, pipes, full disks and under Ctrl-C.

#include <gmock/gmock.h>
#include <pty.h>

#include "tests/cli/program.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;
using testing::Not;

/// Runs the program with a pseudo-terminal of `columns` as all three streams; what the terminal got.
std::string on_terminal(const Words& words, unsigned short columns) {
    int terminal = -1;
    winsize size{};
    size.ws_col = columns;
    size.ws_row = 24;
    const pid_t child = forkpty(&terminal, nullptr, nullptr, &size);
    if (child < 0) throw std::runtime_error("forkpty");
    if (child == 0) become_program(words, {});
    std::string seen;
    std::array<char, 4096> buffer;
    for (;;) {
        const ssize_t count = read(terminal, buffer.data(), buffer.size());
        if (count <= 0) break;  // EIO: the program has ended
        seen.append(buffer.data(), static_cast<std::size_t>(count));
    }
    waitpid(child, nullptr, 0);
    close(terminal);
    return seen;
}

Words with_data(const Studio& studio, Words words) {
    words.insert(words.end(), {"--data", studio.data.string(), "--models", studio.models.string()});
    return words;
}

TEST(cli_terminal, progress_overprints_one_line_and_leaves_none) {
    const Studio studio;
    const std::string seen = on_terminal(with_data(studio, studio.making()), 100);
    const std::size_t answer = seen.find(" is made");
    ASSERT_NE(answer, std::string::npos) << seen;
    const std::string before = seen.substr(0, seen.rfind('\r', answer) + 1);
    EXPECT_THAT(before, HasSubstr(" %"));
    EXPECT_EQ(std::count(before.begin(), before.end(), '\n'), 0) << before;
    // The last thing before the answer wipes the line: spaces between two returns.
    const std::size_t wiped = before.rfind('\r', before.size() - 2);
    EXPECT_EQ(before.substr(wiped + 1, before.size() - wiped - 2).find_first_not_of(' '), std::string::npos);
}

TEST(cli_terminal, a_narrow_terminal_is_never_filled_to_its_last_column) {
    const Studio studio;
    const std::string seen = on_terminal(with_data(studio, studio.making({"--json"})), 8);
    const std::string before = seen.substr(0, seen.find('{'));
    ASSERT_THAT(before, HasSubstr("\r"));
    std::istringstream lines(before);
    for (std::string line; std::getline(lines, line, '\r');) {
        EXPECT_LE(line.size() - static_cast<std::size_t>(std::count(line.begin(), line.end(), '\b')), 7u) << line;
    }
}

TEST(cli_terminal, quiet_shows_no_progress_even_there) {
    const Studio studio;
    EXPECT_THAT(on_terminal(with_data(studio, studio.making({"--quiet"})), 100), Not(HasSubstr(" %\r")));
}

TEST(cli_progress, goes_to_standard_error_as_plain_lines_where_asked_for) {
    const Studio studio;
    const Ran silent = studio.make();
    ASSERT_EQ(silent.status, 0) << silent.err;
    EXPECT_EQ(silent.err, "");
    const Ran told = studio.make({"--progress", "--replace", "--json"});
    ASSERT_EQ(told.status, 0) << told.err;
    EXPECT_THAT(told.err, testing::ContainsRegex("hangtrue: [a-z ]+ 100 %\n"));
    EXPECT_THAT(told.err, Not(HasSubstr("\r")));
    EXPECT_EQ(told.json()["status"], 0);
    EXPECT_EQ(studio.make({"--progress", "--quiet", "--replace"}).err, "");
}

TEST(cli_output, a_full_standard_output_ends_with_4_and_its_sentence) {
    const Studio studio;
    const Ran ran = studio.run({"shop", "list"}, {{}, "/dev/full", {}});
    EXPECT_EQ(ran.status, 4);
    EXPECT_EQ(ran.err, "hangtrue: The answer could not be written to standard output: No space left on device.\n");
}

TEST(cli_output, a_closed_standard_output_ends_with_4_and_goes_into_no_file) {
    const Studio studio;
    const Ran ran = studio.make({}, {{}, "-", {}});
    EXPECT_EQ(ran.status, 4);
    EXPECT_THAT(ran.err, HasSubstr("standard output"));
    // The print was made all the same, and holds nothing but itself.
    ASSERT_EQ(print_files(studio).size(), 1u);
    EXPECT_EQ(studio.run({"verify", print_files(studio)[0].string()}).status, 0);
}

TEST(cli_output, a_reader_who_has_gone_away_is_no_failure) {
    std::array<int, 2> pipe_ends{};
    ASSERT_EQ(pipe2(pipe_ends.data(), O_CLOEXEC), 0);
    const pid_t child = fork();
    if (child == 0) {
        close(pipe_ends[0]);
        dup2(pipe_ends[1], STDOUT_FILENO);
        close(pipe_ends[1]);
        signal(SIGPIPE, SIG_DFL);
        become_program({"--help"}, {});
    }
    close(pipe_ends[0]);
    close(pipe_ends[1]);
    int state = 0;
    waitpid(child, &state, 0);
    ASSERT_TRUE(WIFEXITED(state));
    EXPECT_EQ(WEXITSTATUS(state), 0);
}

TEST(cli_cancelling, ctrl_c_at_each_step_before_the_end_of_reading_back_ends_with_5_and_leaves_nothing) {
    for (const char* step : {"temporary-made", "half-written", "written", "synced"}) {
        const Studio studio;
        const Ran ran = studio.make({"--json"}, {{{"HANGTRUE_FAULT", "interrupt@" + std::string(step)}}, "", {}});
        EXPECT_EQ(ran.status, 5) << step << ran.err;
        EXPECT_EQ(ran.json()["ending"], "cancelled");
        EXPECT_THAT(studio.made(), testing::IsEmpty()) << step;
        EXPECT_EQ(studio.make().status, 0) << step;
    }
}

TEST(cli_cancelling, ctrl_c_when_all_is_verified_leaves_nothing_or_a_whole_recorded_print) {
    for (const char* step : {"verified", "intention-noted", "renamed", "recorded"}) {
        const Studio studio;
        const Ran ran = studio.make({}, {{{"HANGTRUE_FAULT", "interrupt@" + std::string(step)}}, "", {}});
        EXPECT_TRUE(ran.status == 0 || ran.status == 5) << ran.err;
        for (const fs::path& file : print_files(studio)) {
            EXPECT_EQ(studio.run({"verify", file.string()}).status, 0) << step;
        }
        EXPECT_EQ(studio.run({"ledger", "list", "--json"}).json()["records"].size(), print_files(studio).size())
            << step;
    }
}

TEST(cli_cancelling, a_second_ctrl_c_ends_the_program_at_once) {
    const Studio studio;
    const Ran ran =
        studio.make({"--json"}, {{{"HANGTRUE_FAULT", "interrupt@half-written,interrupt@half-written"}}, "", {}});
    EXPECT_EQ(ran.status, 5);
    EXPECT_EQ(ran.out, "") << "not even the answer is waited for";
    EXPECT_EQ(studio.make().status, 0);
}

TEST(cli_cancelling, several_prints_end_with_5_and_each_says_so) {
    const Studio studio;
    const Ran ran =
        studio.make({"--size", "6x4in", "--json"}, {{{"HANGTRUE_FAULT", "interrupt@half-written"}}, "", {}});
    EXPECT_EQ(ran.status, 5);
    const Json jobs = ran.json()["jobs"];
    ASSERT_EQ(jobs.size(), 2u);
    for (const Json& job : jobs) EXPECT_EQ(job["status"], 5);
    EXPECT_THAT(studio.made(), testing::IsEmpty());
}

}  // namespace
}  // namespace hangtrue::cli_test
