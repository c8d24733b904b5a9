// SPDX-License-Identifier: Apache-2.0
#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <functional>
#include <thread>

#include "engine/base/error.h"
#include "engine/base/faults.h"
#include "engine/base/output_file.h"
#include "engine/ledger/ledger.h"
#include "tests/ledger/support.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::ledger {
namespace {

namespace fs = std::filesystem;
using support::TemporaryFolder;
using testing::AllOf;
using testing::HasSubstr;
using testing::SizeIs;

std::string content_of(const fs::path& file) { return base::read_whole_file(file, 100'000'000); }

void write(const fs::path& file, std::string_view bytes) {
    base::Faults faults;
    base::write_whole_file(file, std::as_bytes(std::span(bytes)), base::OutputFile::Existing::replace, faults);
}

std::string refusal_of(const fs::path& file) {
    try {
        const Ledger ledger(file);
    } catch (const base::LedgerFailed& error) {
        return error.what();
    }
    return "opened";
}

/// A process of its own; it ends with `work`'s answer, or by a kill.
pid_t started(const std::function<int()>& work) {
    const pid_t child = ::fork();
    if (child == 0) {
        int status = 99;
        try {
            status = work();
        } catch (...) {
        }
        ::_exit(status);
    }
    return child;
}

int exit_status_of(pid_t child) {
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

TEST(ledger_faults, the_file_says_format_3_and_whose_it_is) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    { const Ledger ledger(file); }
    SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    EXPECT_EQ(database.execAndGet("PRAGMA user_version").getInt(), 3);
    EXPECT_EQ(database.execAndGet("PRAGMA application_id").getInt(), 0x48616e67);
    EXPECT_EQ(database.execAndGet("PRAGMA journal_mode").getString(), "delete");
    EXPECT_EQ(database.execAndGet("PRAGMA integrity_check").getString(), "ok");
}

TEST(ledger_faults, a_newer_ledger_is_refused_and_left_as_it_is) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    { const Ledger ledger(file); }
    SQLite::Database(file.string(), SQLite::OPEN_READWRITE).exec("PRAGMA user_version = 4");
    const std::string before = content_of(file);
    EXPECT_THAT(refusal_of(file), AllOf(HasSubstr(file.string()), HasSubstr("newer version"), HasSubstr("format 4")));
    EXPECT_EQ(content_of(file), before);
}

TEST(ledger_faults, an_sqlite_file_of_another_program_is_refused_and_left_as_it_is) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "other.sqlite";
    SQLite::Database(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec("CREATE TABLE made (id)");
    const std::string before = content_of(file);
    EXPECT_THAT(refusal_of(file), HasSubstr("not a ledger"));
    EXPECT_EQ(content_of(file), before);
}

TEST(ledger_faults, a_ledger_without_its_tables_is_damaged) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    { const Ledger ledger(file); }
    SQLite::Database(file.string(), SQLite::OPEN_READWRITE).exec("DROP TABLE profile");
    EXPECT_THAT(refusal_of(file), AllOf(HasSubstr("damaged"), HasSubstr("backup")));
}

TEST(ledger_faults, what_is_no_database_is_damaged_and_left_as_it_is) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    const std::string text(5000, 'x');
    write(file, text);
    EXPECT_THAT(refusal_of(file), AllOf(HasSubstr(file.string()), HasSubstr("damaged"), HasSubstr("backup")));
    EXPECT_EQ(content_of(file), text);
}

TEST(ledger_faults, an_empty_file_becomes_a_ledger) {
    // A kill between the file's making and its first transaction leaves one.
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    write(file, "");
    Ledger ledger(file);
    ledger.record(ledger.note_intention(some_row()));
    EXPECT_THAT(ledger.rows(), SizeIs(1));
}

TEST(ledger_faults, a_folder_or_a_file_in_the_way_is_named) {
    const TemporaryFolder folder;
    fs::create_directory(folder.path() / "ledger.sqlite");
    EXPECT_THAT(refusal_of(folder.path() / "ledger.sqlite"), HasSubstr("is a folder"));
    write(folder.path() / "data", "no folder");
    EXPECT_THAT(refusal_of(folder.path() / "data" / "ledger.sqlite"), HasSubstr("cannot be made"));
}

/// Everything that can be asked of a ledger; a damaged one may answer or refuse, but nothing else.
void use_all_of(const fs::path& file) {
    try {
        Ledger ledger(file);
        for (const Row& row : ledger.rows()) ledger.row(row.id);
        ledger.rows("ridge", 10);
        ledger.open_intentions();
        ledger.row_of_file("/prints/ridge-3.tif");
        ledger.profile(hash_of("profile"));
        ledger.measured(hash_of("picture1"), 1);
        ledger.picture_places(hash_of("picture1"));
        ledger.keep_measured(hash_of("picture9"), 1, "{}");
        ledger.keep_picture_place(hash_of("picture1"), "/elsewhere.tif");
        ledger.record(ledger.note_intention(some_row(99)));
    } catch (const base::LedgerFailed& error) {
        EXPECT_THAT(error.what(), HasSubstr(file.string()));
    }
}

std::string a_filled_ledger(const fs::path& file) {
    {
        Ledger ledger(file);
        for (int number = 1; number <= 12; ++number) {
            Row row = some_row(number);
            row.fingerprint.assign(3000, static_cast<std::uint16_t>(number));
            ledger.record(ledger.note_intention(row));
        }
        ledger.note_intention(some_row(50));
        const std::vector<std::byte> profile(3000, std::byte{7});
        ledger.keep_profile(hash_of("profile"), profile);
        ledger.keep_measured(hash_of("picture1"), 1, "{}");
        ledger.keep_picture_place(hash_of("picture1"), "/pictures/ridge.tif");
    }
    return content_of(file);
}

TEST(ledger_faults, random_damage_is_answered_or_refused_but_never_crashes) {
    const MemoryFolder folder;
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto file = folder.path() / "ledger.sqlite";
    const std::string whole = a_filled_ledger(file);
    for (int round = 0; round < 150; ++round) {
        SCOPED_TRACE("round " + std::to_string(round));
        std::string bytes = whole;
        // Every other round strikes the first pages, where the schema and the trees' roots are.
        const std::size_t reach = round % 2 == 0 ? bytes.size() : 8192;
        const auto hits = 1 + random() % 40;
        for (std::uint64_t hit = 0; hit < hits; ++hit) bytes[random() % reach] = static_cast<char>(random());
        fs::remove(file.string() + "-journal");
        std::FILE* const out = std::fopen(file.c_str(), "wb");
        ASSERT_EQ(std::fwrite(bytes.data(), 1, bytes.size(), out), bytes.size());
        std::fclose(out);
        use_all_of(file);
    }
}

TEST(ledger_faults, a_ledger_cut_short_anywhere_is_answered_or_refused_but_never_crashes) {
    const MemoryFolder folder;
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto file = folder.path() / "ledger.sqlite";
    const std::string whole = a_filled_ledger(file);
    for (int round = 0; round < 40; ++round) {
        SCOPED_TRACE("round " + std::to_string(round));
        std::FILE* const out = std::fopen(file.c_str(), "wb");
        ASSERT_EQ(std::fwrite(whole.data(), 1, whole.size(), out), whole.size());
        std::fclose(out);
        fs::remove(file.string() + "-journal");
        fs::resize_file(file, random() % whole.size());
        use_all_of(file);
    }
    fs::resize_file(file, 0);
    write(file, whole.substr(0, whole.size() / 2));
    EXPECT_THAT(refusal_of(file), HasSubstr("damaged"));
}

TEST(ledger_faults, a_kill_after_noting_leaves_the_intention_open) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    { const Ledger made_beforehand(file); }
    int channel[2];
    ASSERT_EQ(::pipe(channel), 0);
    const pid_t child = started([&] {
        Ledger ledger(file);
        ledger.record(ledger.note_intention(some_row(1)));
        const auto id = static_cast<char>(ledger.note_intention(some_row(2)));
        if (::write(channel[1], &id, 1) != 1) return 1;
        for (;;) ::pause();
    });
    char id = 0;
    ASSERT_EQ(::read(channel[0], &id, 1), 1);
    ::kill(child, SIGKILL);
    EXPECT_EQ(exit_status_of(child), -SIGKILL);
    ::close(channel[0]);
    ::close(channel[1]);

    Ledger ledger(file);
    EXPECT_THAT(ledger.rows(), SizeIs(1));
    const auto open = ledger.open_intentions();
    ASSERT_THAT(open, SizeIs(1));
    EXPECT_EQ(open.front().id, id);
    EXPECT_EQ(open.front().file_path, "/prints/ridge-2.tif");
    ledger.record(open.front().id);
    EXPECT_THAT(ledger.rows(), SizeIs(2));
}

TEST(ledger_faults, kills_at_20_moments_leave_whole_rows_and_a_whole_file) {
    const MemoryFolder folder;
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto file = folder.path() / "ledger.sqlite";
    for (int round = 0; round < 20; ++round) {
        const pid_t child = started([&]() -> int {
            for (int number = 1;; ++number) {
                Ledger ledger(file);
                Row row = some_row(number);
                row.fingerprint.assign(5000, 7);
                ledger.record(ledger.note_intention(row));
            }
        });
        std::this_thread::sleep_for(std::chrono::microseconds(2000 + random() % 20'000));
        ::kill(child, SIGKILL);
        ASSERT_EQ(exit_status_of(child), -SIGKILL);
        Ledger ledger(file);
        ASSERT_LE(ledger.open_intentions().size(), 1u);
        for (const Row& row : ledger.open_intentions()) {
            EXPECT_THAT(row.fingerprint, SizeIs(5000));
            ledger.drop_intention(row.id);
        }
    }
    SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    EXPECT_EQ(database.execAndGet("PRAGMA integrity_check").getString(), "ok");
}

TEST(ledger_faults, three_processes_that_begin_a_ledger_together_lose_no_row) {
    const MemoryFolder folder;
    const auto file = folder.path() / "data" / "ledger.sqlite";
    std::vector<pid_t> children;
    for (int process = 0; process < 3; ++process) {
        children.push_back(started([&] {
            Ledger ledger(file);
            for (int number = 0; number < 15; ++number) {
                ledger.record(ledger.note_intention(some_row(100 * process + number)));
                ledger.keep_picture_place(hash_of("a"), "/place" + std::to_string(100 * process + number));
            }
            return 0;
        }));
    }
    for (const pid_t child : children) EXPECT_EQ(exit_status_of(child), 0);
    const Ledger ledger(file);
    EXPECT_THAT(ledger.rows(), SizeIs(45));
    EXPECT_THAT(ledger.picture_places(hash_of("a")), SizeIs(45));
}

TEST(ledger_faults, processes_that_open_a_ledger_while_it_is_begun_take_it_for_a_ledger) {
    const MemoryFolder folder;
    for (int round = 0; round < 100; ++round) {
        const auto file = folder.path() / (std::to_string(round) + ".sqlite");
        std::vector<pid_t> children;
        for (int process = 0; process < 4; ++process) {
            children.push_back(started([&] {
                const Ledger ledger(file);
                return 0;
            }));
        }
        for (const pid_t child : children) ASSERT_EQ(exit_status_of(child), 0) << "in round " << round;
    }
}

TEST(ledger_faults, a_ledger_locked_for_a_moment_is_waited_for) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    Ledger ledger(file);
    SQLite::Database other(file.string(), SQLite::OPEN_READWRITE);
    other.exec("BEGIN EXCLUSIVE");
    std::thread release([&] {
        std::this_thread::sleep_for(std::chrono::milliseconds(200));
        other.exec("COMMIT");
    });
    EXPECT_NO_THROW(ledger.record(ledger.note_intention(some_row())));
    release.join();
}

TEST(ledger_faults, a_full_disk_is_said_and_what_was_recorded_stays) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    {
        Ledger ledger(file);
        ledger.record(ledger.note_intention(some_row()));
    }
    const auto size = fs::file_size(file);
    const pid_t child = started([&] {
        // A limit on the file's size answers a write as a full disk does: with fewer bytes written, then none.
        ::signal(SIGXFSZ, SIG_IGN);
        const rlimit limit{size + 5000, size + 5000};
        ::setrlimit(RLIMIT_FSIZE, &limit);
        Ledger ledger(file);
        Row large = some_row();
        large.fingerprint.assign(200'000, 9);
        try {
            ledger.note_intention(large);
        } catch (const base::LedgerFailed&) {
            return 42;
        }
        return 0;
    });
    EXPECT_EQ(exit_status_of(child), 42);
    const Ledger ledger(file);
    EXPECT_THAT(ledger.rows(), SizeIs(1));
    EXPECT_THAT(ledger.open_intentions(), SizeIs(0));
}

TEST(ledger_faults, a_ledger_that_may_not_be_written_can_be_read) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "ledger.sqlite";
    {
        Ledger ledger(file);
        ledger.record(ledger.note_intention(some_row()));
    }
    fs::permissions(file, fs::perms{0444});
    fs::permissions(folder.path(), fs::perms{0555});
    const pid_t child = started([&] {
        // Root may write everything: become somebody else (65534 is "nobody").
        if (::getuid() == 0 && ::setuid(65534) != 0) return 1;
        Ledger ledger(file);
        if (ledger.rows().size() != 1) return 2;
        try {
            ledger.note_intention(some_row());
        } catch (const base::LedgerFailed& error) {
            return std::string(error.what()).find("permissions") != std::string::npos ? 42 : 3;
        }
        return 4;
    });
    EXPECT_EQ(exit_status_of(child), 42);
    fs::permissions(folder.path(), fs::perms{0755});
}

}  // namespace
}  // namespace hangtrue::ledger
