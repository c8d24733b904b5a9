// SPDX-License-Identifier: Apache-2.0
// Contract 2 from outside: a print file appears under its name complete and verified, or not at all.

#include <gmock/gmock.h>
#include <sys/mount.h>

#include <random>

#include "tests/cli/program.h"
#include "tests/support/random.h"
#include "tests/support/sanitized.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

Surroundings fault(const std::string& text) { return {{{"HANGTRUE_FAULT", text}}, "", {}}; }

/// The studio's picture in a size that is written in several bands, so that "half written" is half.
Words larger(const Studio& studio, const Words& more = {}) {
    Words words = studio.making({"--ppi", "300"});
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

/// What must hold after any kill: whole files only, a ledger that opens, and a next run that works.
void expect_the_world_whole(const Studio& studio, const std::string& when) {
    for (const fs::path& file : print_files(studio)) {
        // A file that was named is recorded at the next start; then it can be verified.
        const Ran listed = studio.run(larger(studio, {"--json"}));
        EXPECT_TRUE(listed.status == 0 || listed.status == 4) << when << listed.err;
        EXPECT_EQ(studio.run({"verify", file.string()}).status, 0) << when;
    }
    const Ran next = studio.run(larger(studio, {"--replace", "--json"}));
    ASSERT_EQ(next.status, 0) << when << next.err;
    EXPECT_EQ(studio.run({"verify", next.json()["file"]}).status, 0) << when;
    for (const std::string& name : studio.made()) EXPECT_FALSE(name.starts_with(".")) << when << name;
    const Json ledger = studio.run({"ledger", "list", "--json"}).json();
    for (const Json& record : ledger["records"]) {
        EXPECT_TRUE(fs::exists(record["file"].get<std::string>())) << when;
    }
}

class cli_kill : public testing::TestWithParam<const char*> {};

TEST_P(cli_kill, leaves_no_half_file_and_the_next_run_works) {
    for (const Words& format : {Words{"--format", "tiff"}, Words{"--format", "jpeg"}}) {
        const Studio studio;
        const std::string step = GetParam();
        const Ran ran = studio.run(larger(studio, format), fault("kill@" + step));
        EXPECT_EQ(ran.signal, SIGKILL) << "the step was not reached: " << step;
        const bool is_named = step == "renamed" || step == "recorded";
        EXPECT_EQ(print_files(studio).size(), is_named ? 1u : 0u);
        if (step == "renamed") {
            const Ran next = studio.run(larger(studio, {"--json", "--format", format[1]}));
            EXPECT_EQ(next.status, 4) << "its name is taken";
            ASSERT_EQ(next.json()["recovered"].size(), 1u);
            EXPECT_EQ(studio.run({"ledger", "list", "--json"}).json()["records"].size(), 1u);
            EXPECT_EQ(studio.run({"verify", print_files(studio)[0].string()}).status, 0);
        }
        if (format[1] == "tiff") expect_the_world_whole(studio, step);
    }
}

INSTANTIATE_TEST_SUITE_P(steps, cli_kill,
                         testing::Values("temporary-made", "half-written", "written", "synced", "verified",
                                         "intention-noted", "renamed", "recorded"));

TEST(cli_kill_anywhere, at_50_moments_spread_over_the_run_the_world_stays_whole) {
    // ./check takes every fifth of the fifty, ./check --full all, where a run is not slowed down by being watched.
    const int moments = std::getenv("HANGTRUE_FULL") != nullptr && !support::is_sanitized ? 50 : 10;
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto start = std::chrono::steady_clock::now();
    const Studio timing;
    ASSERT_EQ(timing.run(larger(timing)).status, 0);
    const auto whole =
        std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - start).count();
    for (int i = 0; i < moments; ++i) {
        const Studio studio;
        const auto moment = static_cast<unsigned>((whole * i + static_cast<long>(random() % 1000)) / moments);
        studio.run(larger(studio), {{}, "", moment});
        expect_the_world_whole(studio, "killed after " + std::to_string(moment) + " us");
    }
}

/// A file system of 1 MB that is really full; gone with the test.
class SmallDrive {
  public:
    explicit SmallDrive(const fs::path& at) : m_at(at) {
        m_mounted = ::mount("tmpfs", at.c_str(), "tmpfs", 0, "size=1m") == 0;
    }
    ~SmallDrive() {
        if (m_mounted) ::umount2(m_at.c_str(), MNT_DETACH);
    }
    SmallDrive(const SmallDrive&) = delete;
    SmallDrive& operator=(const SmallDrive&) = delete;
    bool is_mounted() const { return m_mounted; }

  private:
    fs::path m_at;
    bool m_mounted = false;
};

TEST(cli_full_drive, a_print_of_3_mb_on_a_drive_of_1_mb_ends_with_4_and_leaves_nothing) {
    const Studio studio;
    const SmallDrive drive(studio.out);
    if (!drive.is_mounted()) GTEST_SKIP() << "mounting a small file system is not allowed here";
    const Ran ran = studio.run(larger(studio));
    EXPECT_EQ(ran.status, 4) << ran.err;
    EXPECT_THAT(ran.err, HasSubstr("No space left"));
    EXPECT_THAT(ran.err, HasSubstr("Make room"));
    EXPECT_THAT(studio.made(), IsEmpty());
}

struct Failing {
    const char* fault;
    const char* words;  ///< The system's own, in the sentence.
};
void PrintTo(const Failing& failing, std::ostream* out) { *out << failing.fault; }
class cli_failing_drive : public testing::TestWithParam<Failing> {};

TEST_P(cli_failing_drive, ends_with_4_and_a_sentence_and_leaves_nothing) {
    for (const char* format : {"tiff", "jpeg"}) {
        const Studio studio;
        const Ran ran = studio.run(larger(studio, {"--format", format, "--json"}), fault(GetParam().fault));
        EXPECT_EQ(ran.status, 4) << ran.err;
        EXPECT_THAT(ran.err, HasSubstr(GetParam().words)) << format;
        EXPECT_EQ(ran.json()["jobs"][0]["ending"], "unwritable");
        EXPECT_THAT(studio.made(), IsEmpty());
        EXPECT_THAT(studio.run({"ledger", "list", "--json"}).json()["records"], IsEmpty());
        EXPECT_EQ(studio.run(larger(studio, {"--format", format})).status, 0);
    }
}

INSTANTIATE_TEST_SUITE_P(
    calls, cli_failing_drive,
    testing::Values(Failing{"ENOSPC@write", "No space left"}, Failing{"ENOSPC@write:2", "No space left"},
                    Failing{"EIO@write", "Input/output error"}, Failing{"ENOSPC@sync", "No space left"},
                    Failing{"EIO@sync", "Input/output error"}, Failing{"ENOSPC@rename", "No space left"},
                    Failing{"EIO@rename", "Input/output error"}));

/// Where `wanted` stands in `bytes`; -1 where it does not.
std::int64_t place_of(const std::vector<std::byte>& bytes, const std::string& wanted) {
    const auto same = [](std::byte byte, char letter) { return byte == static_cast<std::byte>(letter); };
    const auto found = std::search(bytes.begin(), bytes.end(), wanted.begin(), wanted.end(), same);
    return found == bytes.end() ? -1 : found - bytes.begin();
}

TEST(cli_flipped_byte, in_samples_profile_or_header_is_caught_by_reading_back) {
    const Studio studio;
    ASSERT_EQ(studio.make().status, 0);
    const auto bytes = support::file_bytes(print_files(studio).at(0));
    // ICC.1:2022 7.2: "acsp" stands in every profile's header.
    const std::int64_t profile = place_of(bytes, "acsp");
    ASSERT_GT(profile, 0);
    const std::int64_t samples_first = static_cast<std::int64_t>(bytes.size()) / 3;
    for (const std::int64_t place : {std::int64_t{0}, std::int64_t{3}, profile, profile + 40, samples_first,
                                     samples_first + 4321, static_cast<std::int64_t>(bytes.size()) - 1}) {
        const Studio other;
        const Ran ran = other.make({}, fault("flip@" + std::to_string(place)));
        EXPECT_EQ(ran.status, 4) << "byte " << place << " of " << bytes.size() << ": " << ran.err;
        EXPECT_THAT(other.made(), IsEmpty()) << place;
    }
}

TEST(cli_flipped_byte, on_the_disk_later_is_found_by_verify_with_status_1) {
    const Studio studio;
    ASSERT_EQ(studio.make().status, 0);
    const fs::path file = print_files(studio).at(0);
    const auto good = support::file_bytes(file);
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int i = 0; i < 12; ++i) {
        auto bytes = good;
        const std::size_t place = random() % bytes.size();
        bytes[place] ^= std::byte{1};
        support::write_bytes(file, bytes);
        const Ran ran = studio.run({"verify", file.string(), "--json"});
        EXPECT_EQ(ran.status, 1) << "byte " << place << ran.out;
        EXPECT_FALSE(ran.json()["files"][0]["differences"].empty()) << place;
    }
    support::write_bytes(file, good);
    EXPECT_EQ(studio.run({"verify", file.string()}).status, 0);
}

}  // namespace
}  // namespace hangtrue::cli_test
