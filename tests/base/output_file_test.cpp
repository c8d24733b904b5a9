// SPDX-License-Identifier: Apache-2.0
#include "engine/base/output_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <fstream>
#include <vector>

#include "engine/base/error.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::base {
namespace {

namespace fs = std::filesystem;
using support::TemporaryFolder;
using testing::HasSubstr;
using Existing = OutputFile::Existing;

std::span<const std::byte> bytes_of(std::string_view text) { return std::as_bytes(std::span(text)); }

void put(const fs::path& name, const std::string& text) { std::ofstream(name, std::ios::binary) << text; }

std::string text_of(const fs::path& name) { return read_whole_file(name, 1 << 20); }

std::size_t files_in(const fs::path& folder) {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

/// The message with which `act` throws WriteFailed; empty where it does not.
template <typename Act>
std::string refusal(Act act) {
    try {
        act();
    } catch (const WriteFailed& failure) {
        return failure.what();
    }
    return {};
}

class Scripted : public Faults {
  public:
    Call failing_call = Call::write;
    int error_number = 0;
    std::vector<Step> steps;
    Step kill_at = Step::recorded;
    bool kill = false;
    void reached(Step step) override {
        steps.push_back(step);
        if (kill && step == kill_at) ::raise(SIGKILL);
    }
    int failing(Call call) override { return call == failing_call ? error_number : 0; }
};

TEST(output_file, appears_under_its_name_only_when_named_and_then_whole) {
    const TemporaryFolder folder;
    const fs::path name = folder.path() / "print.tif";
    Scripted faults;
    OutputFile file(name, Existing::refuse, faults);
    file.write(bytes_of("half "));
    EXPECT_FALSE(fs::exists(name));
    file.write(bytes_of("whole"));
    file.write_at(bytes_of("H"), 0);
    EXPECT_EQ(file.size(), 10);
    file.sync();
    EXPECT_FALSE(fs::exists(name));
    file.name_it();
    EXPECT_EQ(text_of(name), "Half whole");
    EXPECT_EQ(files_in(folder.path()), 1U);
    EXPECT_EQ(faults.steps, (std::vector{Step::temporary_made, Step::synced, Step::renamed}));
}

TEST(output_file, a_file_given_up_leaves_nothing) {
    const TemporaryFolder folder;
    Faults faults;
    {
        OutputFile file(folder.path() / "print.tif", Existing::refuse, faults);
        file.write(bytes_of("x"));
    }
    EXPECT_EQ(files_in(folder.path()), 0U);
}

TEST(output_file, a_taken_name_is_refused_at_the_start_and_at_the_end) {
    const TemporaryFolder folder;
    const fs::path name = folder.path() / "print.tif";
    Faults faults;
    OutputFile file(name, Existing::refuse, faults);
    file.write(bytes_of("new"));
    put(name, "of another");
    EXPECT_THAT(refusal([&] { file.name_it(); }), HasSubstr("exists already"));
    EXPECT_EQ(text_of(name), "of another");
    EXPECT_THAT(refusal([&] { const OutputFile second(name, Existing::refuse, faults); }),
                HasSubstr("Have it replaced"));
    EXPECT_EQ(files_in(folder.path()), 1U);
}

TEST(output_file, replacing_keeps_the_old_file_until_the_new_one_is_whole) {
    const TemporaryFolder folder;
    const fs::path name = folder.path() / "print.tif";
    put(name, "old");
    Faults faults;
    {
        OutputFile given_up(name, Existing::replace, faults);
        given_up.write(bytes_of("given up"));
    }
    EXPECT_EQ(text_of(name), "old");
    OutputFile file(name, Existing::replace, faults);
    file.write(bytes_of("new"));
    EXPECT_EQ(text_of(name), "old");
    file.name_it();
    EXPECT_EQ(text_of(name), "new");
    EXPECT_EQ(files_in(folder.path()), 1U);
}

TEST(output_file, a_missing_folder_and_a_name_that_is_a_folder_are_refused) {
    const TemporaryFolder folder;
    Faults faults;
    EXPECT_THAT(refusal([&] { const OutputFile file(folder.path() / "no" / "print.tif", Existing::refuse, faults); }),
                HasSubstr("does not exist"));
    fs::create_directory(folder.path() / "sub");
    EXPECT_THAT(refusal([&] { const OutputFile file(folder.path() / "sub", Existing::replace, faults); }),
                HasSubstr("is a folder"));
}

TEST(output_file, a_folder_without_permission_is_refused_in_words) {
    const TemporaryFolder folder;
    fs::permissions(folder.path(), fs::perms::owner_read | fs::perms::owner_exec);
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
        constexpr uid_t nobody = 65534;  // root may write everywhere
        if (::geteuid() == 0 && ::setuid(nobody) != 0) ::_exit(2);
        Faults faults;
        const std::string message =
            refusal([&] { const OutputFile file(folder.path() / "print.tif", Existing::refuse, faults); });
        ::_exit(message.find("cannot be written: Permission denied") != std::string::npos ? 0 : 1);
    }
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << "exit status " << WEXITSTATUS(status);
    fs::permissions(folder.path(), fs::perms::owner_all);
}

TEST(output_file, a_full_disk_and_a_lost_drive_at_write_sync_and_rename_leave_nothing) {
    const TemporaryFolder folder;
    for (const Call call : {Call::write, Call::sync, Call::rename}) {
        for (const int error_number : {ENOSPC, EIO}) {
            Scripted faults;
            faults.failing_call = call;
            faults.error_number = error_number;
            const std::string message = refusal([&] {
                OutputFile file(folder.path() / "print.tif", Existing::refuse, faults);
                file.write(bytes_of("x"));
                file.sync();
                file.name_it();
            });
            EXPECT_THAT(message, HasSubstr("print.tif cannot be written"));
            EXPECT_THAT(message, HasSubstr(error_number == ENOSPC ? "Make room" : "drive"));
            EXPECT_EQ(files_in(folder.path()), 0U) << name_of(call);
        }
    }
}

TEST(output_file, a_kill_at_any_step_leaves_no_file_or_the_whole_one) {
    const TemporaryFolder folder;
    const fs::path name = folder.path() / "print.tif";
    for (const Existing existing : {Existing::refuse, Existing::replace}) {
        for (const Step step : {Step::temporary_made, Step::half_written, Step::synced, Step::renamed}) {
            const pid_t child = ::fork();
            ASSERT_GE(child, 0);
            if (child == 0) {
                Scripted faults;
                faults.kill = true;
                faults.kill_at = step;
                OutputFile file(name, existing, faults);
                file.write(bytes_of("hal"));
                faults.reached(Step::half_written);
                file.write(bytes_of("f"));
                file.sync();
                file.name_it();
                ::_exit(1);  // not killed
            }
            int status = 0;
            ASSERT_EQ(::waitpid(child, &status, 0), child);
            ASSERT_TRUE(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
            // The next writer in the folder clears away what the killed one may have left.
            Faults faults;
            { const OutputFile next(folder.path() / "next.tif", Existing::refuse, faults); }
            if (step == Step::renamed) {
                EXPECT_EQ(text_of(name), "half");
                EXPECT_EQ(files_in(folder.path()), 1U);
                fs::remove(name);
            } else {
                EXPECT_EQ(files_in(folder.path()), 0U) << name_of(step);
            }
        }
    }
}

TEST(output_file, part_files_of_the_dead_are_cleared_and_those_of_the_living_of_other_hosts_and_programs_kept) {
    const TemporaryFolder folder;
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) ::_exit(0);
    ASSERT_EQ(::waitpid(child, nullptr, 0), child);  // a process number that is nobody's now
    const fs::path dead = folder.path() / part_file_name(child, 0);
    const fs::path living = folder.path() / part_file_name(::getppid(), 0);
    // Numbers of processes mean nothing where another system counts them, but its locks are seen.
    const fs::path locked = folder.path() / part_file_name(child, 1);
    std::string of_another_host = part_file_name(child, 2);
    char& digit = of_another_host[std::string(".hangtrue-").size()];
    digit = digit == '0' ? '1' : '0';
    const fs::path elsewhere = folder.path() / of_another_host;
    const fs::path not_ours = folder.path() / (".print.tif." + std::to_string(child) + ".part");
    const fs::path plain = folder.path() / "holiday.part";
    for (const fs::path& name : {dead, living, locked, elsewhere, not_ours, plain}) put(name, "x");
    const Descriptor lock(::open(locked.c_str(), O_RDWR));
    ASSERT_EQ(::flock(lock.get(), LOCK_EX), 0);
    Faults faults;
    { const OutputFile file(folder.path() / "print.tif", Existing::refuse, faults); }
    EXPECT_FALSE(fs::exists(dead));
    for (const fs::path& kept : {living, locked, elsewhere, not_ours, plain}) EXPECT_TRUE(fs::exists(kept)) << kept;
}

TEST(output_file, a_folder_that_is_not_synced_is_said_and_the_file_stands_whole) {
    for (const Existing existing : {Existing::refuse, Existing::replace}) {
        const TemporaryFolder folder;
        const fs::path name = folder.path() / "print.tif";
        Scripted faults;
        faults.failing_call = Call::sync_folder;
        faults.error_number = EIO;
        OutputFile file(name, existing, faults);
        file.write(bytes_of("whole"));
        file.sync();
        EXPECT_FALSE(file.is_named());
        EXPECT_THAT(refusal([&] { file.name_it(); }), HasSubstr("has not confirmed that it keeps the file's name"));
        EXPECT_TRUE(file.is_named());
        EXPECT_EQ(text_of(name), "whole");
        EXPECT_EQ(files_in(folder.path()), 1U);
    }
}

TEST(output_file, a_sync_stops_between_its_pieces_when_the_user_does) {
    const TemporaryFolder folder;
    Scripted faults;
    Progress progress;
    {
        OutputFile file(folder.path() / "print.tif", Existing::refuse, faults);
        file.write(bytes_of("x"));
        progress.cancel();
        EXPECT_THROW(file.sync(progress), Cancelled);
        EXPECT_EQ(faults.steps, std::vector{Step::temporary_made});
    }
    EXPECT_EQ(files_in(folder.path()), 0U);
}

TEST(output_file, the_file_is_readable_by_others_and_writable_by_its_owner) {
    const TemporaryFolder folder;
    const fs::path name = folder.path() / "print.tif";
    Faults faults;
    const mode_t mask = ::umask(022);
    write_whole_file(name, bytes_of("x"), Existing::refuse, faults);
    ::umask(mask);
    struct stat status {};
    ASSERT_EQ(::stat(name.c_str(), &status), 0);
    EXPECT_EQ(status.st_mode & 0777U, 0644U);
}

TEST(output_file, altering_faults_change_the_bytes_on_the_disk_and_not_the_callers) {
    class Flipping : public Faults {
        bool alters() const override { return true; }
        void altering(std::span<std::byte> bytes, std::int64_t offset) override {
            if (offset <= 3 && offset + static_cast<std::int64_t>(bytes.size()) > 3) {
                bytes[static_cast<std::size_t>(3 - offset)] ^= std::byte{1};
            }
        }
    };
    const TemporaryFolder folder;
    Flipping faults;
    const std::string text = "abcdef";
    write_whole_file(folder.path() / "file", bytes_of(text), Existing::refuse, faults);
    EXPECT_EQ(text, "abcdef");
    EXPECT_EQ(text_of(folder.path() / "file"), "abceef");
}

TEST(output_file, scratch_files_have_no_name_and_look_at_the_free_space_first) {
    const TemporaryFolder folder;
    Faults faults;
    const Descriptor scratch = scratch_file(folder.path(), 1000, "turning the picture");
    ASSERT_TRUE(scratch.is_open());
    EXPECT_EQ(files_in(folder.path()), 0U);
    write_at(scratch.get(), bytes_of("spilled"), 100, "scratch", faults);
    std::string text(7, ' ');
    read_at(scratch.get(), std::as_writable_bytes(std::span(text)), 100, "scratch");
    EXPECT_EQ(text, "spilled");
    EXPECT_GT(free_bytes(folder.path()), 0);
    EXPECT_THAT(refusal([&] { scratch_file(folder.path(), std::int64_t{1} << 60, "turning the picture"); }),
                HasSubstr("not enough room in " + folder.path().string() + " for turning the picture"));
}

TEST(output_file, reading_past_the_end_says_that_the_file_was_cut_short) {
    const TemporaryFolder folder;
    Faults faults;
    const Descriptor scratch = scratch_file(folder.path(), 10, "a test");
    write_at(scratch.get(), bytes_of("abc"), 0, "scratch", faults);
    std::vector<std::byte> buffer(4);
    EXPECT_THROW(read_at(scratch.get(), buffer, 0, "scratch"), UnreadableInput);
}

TEST(output_file, whole_files_are_read_up_to_their_limit) {
    const TemporaryFolder folder;
    put(folder.path() / "file", "0123456789");
    EXPECT_EQ(read_whole_file(folder.path() / "file", 10), "0123456789");
    EXPECT_THROW(read_whole_file(folder.path() / "file", 9), UnreadableInput);
    EXPECT_THROW(read_whole_file(folder.path() / "missing", 9), UnreadableInput);
    EXPECT_THROW(read_whole_file(folder.path(), 9), UnreadableInput);
}

TEST(output_file, descriptors_move_and_close_once) {
    Descriptor first(::dup(0));
    const int number = first.get();
    Descriptor second(std::move(first));
    EXPECT_FALSE(first.is_open());
    EXPECT_EQ(second.get(), number);
    { const Descriptor third(std::move(second)); }
    EXPECT_EQ(::fcntl(number, F_GETFD), -1);
}

}  // namespace
}  // namespace hangtrue::base
