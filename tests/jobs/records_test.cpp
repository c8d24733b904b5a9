// SPDX-License-Identifier: Apache-2.0
// What a kill or a failing disk leaves between a file's name and its record, and what the next run makes of it.

#include <signal.h>
#include <sys/wait.h>

#include <algorithm>
#include <array>

#include "engine/ledger/ledger.h"
#include "tests/jobs/workroom.h"
#include "tests/support/random.h"

namespace hangtrue::jobs_test {
namespace {

using namespace std::chrono_literals;
using jobs::Ending;
using testing::HasSubstr;
using testing::IsEmpty;

class KillAt : public base::Faults {
  public:
    explicit KillAt(base::Step step) : m_step(step) {}
    void reached(base::Step step) override {
        if (step == m_step) kill(getpid(), SIGKILL);
    }

  private:
    base::Step m_step;
};

class FailAt : public base::Faults {
  public:
    FailAt(base::Call call, int error) : m_call(call), m_error(error) {}
    int failing(base::Call call) override { return call == m_call ? m_error : 0; }

  private:
    base::Call m_call;
    int m_error;
};

class recovery : public testing::Test {
  protected:
    /// Makes the print in a process that ends by SIGKILL right after `step`.
    void make_killed_at(base::Step step) {
        const pid_t child = fork();
        if (child == 0) {
            KillAt faults(step);
            room.faults = &faults;
            room.make(request, 1);
            _exit(0);
        }
        int state = 0;
        waitpid(child, &state, 0);
        ASSERT_TRUE(WIFSIGNALED(state) && WTERMSIG(state) == SIGKILL) << "the step was not reached";
    }
    /// Past jobs, which would look after the intentions first.
    std::size_t records() { return ledger::Ledger(room.data() / "ledger.sqlite").rows().size(); }
    std::size_t intentions() { return ledger::Ledger(room.data() / "ledger.sqlite").open_intentions().size(); }
    /// Starting alone looks after what was left.
    std::vector<std::string> recovered_by_a_start() {
        jobs::Context context = room.context();
        return jobs::make({}, context).recovered;
    }

    Workroom room;
    jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene({90, 60}, 3, 8)));
};

TEST_F(recovery, of_a_file_renamed_but_not_recorded_records_it_once_and_says_so) {
    make_killed_at(base::Step::renamed);
    ASSERT_EQ(room.names_made().size(), 1u);
    EXPECT_EQ(records(), 0u);
    const auto said = recovered_by_a_start();
    ASSERT_EQ(said.size(), 1u);
    expect_a_sentence(said[0], room.names_made()[0]);
    EXPECT_EQ(records(), 1u);
    EXPECT_EQ(intentions(), 0u);
    EXPECT_THAT(recovered_by_a_start(), IsEmpty());
    jobs::Context context = room.context();
    EXPECT_TRUE(jobs::verify(room.out() / room.names_made()[0], std::nullopt, context).matches);
}

TEST_F(recovery, of_an_intention_whose_file_was_never_named_drops_it_after_a_minute) {
    make_killed_at(base::Step::intention_noted);
    EXPECT_THAT(room.names_made(), IsEmpty());
    room.clock.time += 10s;  // it might still be another process at work
    EXPECT_THAT(recovered_by_a_start(), IsEmpty());
    EXPECT_EQ(intentions(), 1u);
    room.clock.time += 60s;
    EXPECT_THAT(recovered_by_a_start(), IsEmpty());
    EXPECT_EQ(intentions(), 0u);
    EXPECT_EQ(records(), 0u);
    EXPECT_EQ(room.make(request).ending, Ending::done);
    EXPECT_EQ(records(), 1u);
}

TEST_F(recovery, never_records_another_file_that_took_the_name) {
    make_killed_at(base::Step::renamed);
    const fs::path file = room.out() / room.names_made()[0];
    auto bytes = support::file_bytes(file);
    bytes.back() ^= std::byte{1};
    support::write_bytes(file, bytes);
    room.clock.time += 70s;
    EXPECT_THAT(recovered_by_a_start(), IsEmpty());
    EXPECT_EQ(records(), 0u);
    EXPECT_EQ(intentions(), 0u);
}

TEST_F(recovery, has_nothing_to_do_after_a_kill_before_the_intention_or_after_the_record) {
    for (const base::Step step : {base::Step::temporary_made, base::Step::written, base::Step::verified}) {
        make_killed_at(step);
        EXPECT_THAT(recovered_by_a_start(), IsEmpty());
        EXPECT_THAT(room.names_made(), IsEmpty()) << base::name_of(step);
    }
    make_killed_at(base::Step::recorded);
    EXPECT_THAT(recovered_by_a_start(), IsEmpty());
    EXPECT_EQ(records(), 1u);
}

TEST_F(recovery, of_a_replaced_file_leaves_the_old_one_until_the_new_one_is_whole) {
    const jobs::MadeFile first = room.make(request).files.at(0);
    request.wish = Workroom::wish({{"sharpen", "off"}, {"bits", "16"}});
    request.replace = true;
    make_killed_at(base::Step::verified);
    jobs::Context context = room.context();
    EXPECT_TRUE(jobs::verify(first.file, std::nullopt, context).matches);
    make_killed_at(base::Step::renamed);
    EXPECT_EQ(recovered_by_a_start().size(), 1u);
    const jobs::Verified now = jobs::verify(first.file, std::nullopt, context);
    EXPECT_TRUE(now.matches);
    EXPECT_NE(now.sha256, first.sha256);
    EXPECT_EQ(records(), 2u);
}

class failing_disk : public recovery, public testing::WithParamInterface<base::Call> {};

TEST_P(failing_disk, ends_as_unwritable_and_leaves_no_file_and_no_intention) {
    for (const int error : {ENOSPC, EIO}) {
        FailAt faults(GetParam(), error);
        room.faults = &faults;
        const jobs::MakeOutcome outcome = room.make(request);
        EXPECT_EQ(outcome.ending, Ending::unwritable) << outcome.sentence;
        expect_a_sentence(outcome.sentence, room.out().string());
        EXPECT_THAT(room.names_made(), IsEmpty());
        EXPECT_EQ(records(), 0u);
        EXPECT_EQ(intentions(), 0u);
    }
    room.faults = nullptr;
    EXPECT_EQ(room.make(request).ending, Ending::done);
}

INSTANTIATE_TEST_SUITE_P(calls, failing_disk, testing::Values(base::Call::write, base::Call::sync, base::Call::rename),
                         [](const auto& call) { return std::string(base::name_of(call.param)); });

TEST_F(recovery, of_a_file_whose_name_the_drive_did_not_confirm_records_it_at_the_next_start) {
    FailAt faults(base::Call::sync_folder, EIO);
    room.faults = &faults;
    const jobs::MakeOutcome outcome = room.make(request);
    room.faults = nullptr;
    EXPECT_EQ(outcome.ending, Ending::unwritable);
    EXPECT_THAT(outcome.sentence, HasSubstr("has not confirmed"));
    ASSERT_EQ(room.names_made().size(), 1u) << "the print file, whole, without its ticket";
    EXPECT_EQ(records(), 0u);
    EXPECT_EQ(recovered_by_a_start().size(), 1u);
    EXPECT_EQ(records(), 1u);
    EXPECT_EQ(intentions(), 0u);
    jobs::Context context = room.context();
    EXPECT_TRUE(jobs::verify(room.out() / room.names_made()[0], std::nullopt, context).matches);
}

/// One byte of what goes to the disk is another.
class FlipAt : public base::Faults {
  public:
    explicit FlipAt(std::int64_t at) : m_at(at) {}
    bool alters() const override { return true; }
    void altering(std::span<std::byte> bytes, std::int64_t offset) override {
        if (m_at >= offset && m_at < offset + std::ssize(bytes))
            bytes[static_cast<std::size_t>(m_at - offset)] ^= std::byte{1};
    }

  private:
    std::int64_t m_at;
};

TEST_F(recovery, is_not_needed_for_a_byte_that_changed_on_its_way_to_the_disk_for_nothing_is_named) {
    for (const Words& words :
         {Words{{"format", "tiff"}}, Words{{"format", "tiff"}, {"compression", "lzw"}}, Words{{"format", "jpeg"}}}) {
        request.wish = Workroom::wish(words);
        request.replace = true;
        const jobs::MadeFile whole = room.make(request).files.at(0);
        const std::int64_t bytes = whole.bytes;
        for (const auto& entry : fs::directory_iterator(room.out())) fs::remove(entry.path());
        // In the header, among the tags or the profile, in the samples, at the end.
        for (const std::int64_t at : {std::int64_t{1}, std::int64_t{700}, bytes / 2, bytes - 2}) {
            FlipAt faults(at);
            room.faults = &faults;
            const jobs::MakeOutcome outcome = room.make(request);
            room.faults = nullptr;
            EXPECT_EQ(outcome.ending, Ending::unwritable)
                << words[0].second << ", byte " << at << ": " << outcome.sentence;
            EXPECT_THAT(outcome.sentence, HasSubstr("What the disk gave back"));
            EXPECT_THAT(room.names_made(), IsEmpty());
        }
    }
}

/// One bit of what goes to the disk is another.
class FlipBit : public base::Faults {
  public:
    FlipBit(std::int64_t at, int bit) : m_at(at), m_bit(bit) {}
    bool alters() const override { return true; }
    void altering(std::span<std::byte> bytes, std::int64_t offset) override {
        if (m_at < offset || m_at >= offset + std::ssize(bytes)) return;
        bytes[static_cast<std::size_t>(m_at - offset)] ^= static_cast<std::byte>(1U << m_bit);
    }

  private:
    std::int64_t m_at;
    int m_bit;
};

// A flipped bit in a JPEG's scan decodes to another picture, or to one that is hardly another: neither is kept.
TEST_F(recovery, is_not_needed_for_any_of_60_flipped_bits_in_the_scan_of_a_jpeg) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    request.wish = Workroom::wish({{"format", "jpeg"}});
    const jobs::MadeFile whole = room.make(request).files.at(0);
    const std::vector<std::byte> bytes = support::file_bytes(whole.file);
    for (const auto& entry : fs::directory_iterator(room.out())) fs::remove(entry.path());
    const std::array start_of_scan{std::byte{0xff}, std::byte{0xda}};
    const auto scan =
        std::search(bytes.begin(), bytes.end(), start_of_scan.begin(), start_of_scan.end()) - bytes.begin() + 14;
    ASSERT_GT(std::ssize(bytes), scan + 1000);
    for (int i = 0; i < 60; ++i) {
        const auto at =
            scan + static_cast<std::int64_t>(random() % static_cast<std::uint64_t>(std::ssize(bytes) - scan));
        FlipBit faults(at, static_cast<int>(random() % 8));
        room.faults = &faults;
        const jobs::MakeOutcome outcome = room.make(request);
        room.faults = nullptr;
        EXPECT_EQ(outcome.ending, Ending::unwritable) << "byte " << at << ": " << outcome.sentence;
        EXPECT_THAT(room.names_made(), IsEmpty());
    }
}

// Of a deflate strip a few bits say the same either way (RFC 1951): where such a file is kept, libtiff reads the very
// samples from it.
TEST_F(recovery, is_not_needed_for_flipped_bits_in_a_deflate_strip_unless_they_say_the_same) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    request.wish = Workroom::wish({{"bits", "8"}, {"compression", "deflate"}});
    request.replace = true;
    const jobs::MadeFile whole = room.make(request).files.at(0);
    const support::TestPicture samples = read_tiff(whole.file);
    int refused = 0;
    for (int i = 0; i < 60; ++i) {
        fs::remove(whole.file);
        // Most of the bits that mean nothing lie where a strip's code lengths do: at its beginning.
        const std::int64_t at =
            whole.bytes - 1 - static_cast<std::int64_t>(random() % static_cast<std::uint64_t>(whole.bytes - 3500));
        FlipBit faults(at, static_cast<int>(random() % 8));
        room.faults = &faults;
        const jobs::MakeOutcome outcome = room.make(request);
        room.faults = nullptr;
        if (outcome.ending == Ending::done) {
            EXPECT_TRUE(read_tiff(whole.file) == samples) << "byte " << at;
        } else {
            EXPECT_EQ(outcome.ending, Ending::unwritable) << outcome.sentence;
            EXPECT_FALSE(fs::exists(whole.file));
            ++refused;
        }
    }
    EXPECT_GE(refused, 50);
}

}  // namespace
}  // namespace hangtrue::jobs_test
