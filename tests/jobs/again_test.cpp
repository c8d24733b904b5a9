// SPDX-License-Identifier: Apache-2.0
// Verifying notices what has changed; making again is honest about what came of it.

#include <fstream>

#include "engine/ledger/ledger.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using jobs::Sameness;
using testing::HasSubstr;
using testing::IsEmpty;

/// A made print, its record, and its picture.
class again : public testing::Test {
  protected:
    jobs::Again make_again(jobs::AgainRequest request) {
        request.to = folder;
        jobs::Context context = room.context();
        return jobs::again(request, context);
    }
    jobs::Ended ending_of(const jobs::AgainRequest& request) {
        return jobs::ended([&] { make_again(request); });
    }
    /// A second record of the same print, changed by `change`, as another version or machine would have made it.
    template <typename Change>
    std::int64_t changed_record(Change change) {
        jobs::Context context = room.context();
        ledger::Row row = jobs::ledger_row(made.ledger_id, context);
        change(row);
        ledger::Ledger ledger(room.data() / "ledger.sqlite");
        const std::int64_t id = ledger.note_intention(row);
        ledger.record(id);
        return id;
    }
    bool nothing_kept() const { return fs::is_empty(folder); }

    Workroom room;
    fs::path picture = room.tiff("ridge.tif", scene({90, 60}, 3, 8));
    jobs::MadeFile made = room.made(picture);
    fs::path folder = [this] {
        fs::create_directory(room.root() / "again");
        return room.root() / "again";
    }();
};

TEST_F(again, unchanged_gives_the_same_file_and_a_new_record) {
    const jobs::Again result = make_again({.id = made.ledger_id, .to = {}, .picture = {}});
    EXPECT_EQ(result.sameness, Sameness::same_file);
    EXPECT_TRUE(support::file_bytes(result.file) == support::file_bytes(made.file));
    EXPECT_GT(result.ledger_id, made.ledger_id);
    expect_a_sentence(result.sentence, "same file");
    EXPECT_EQ(result.picture, picture);
}

TEST_F(again, of_every_form_gives_the_same_file) {
    for (const Words& words :
         {Words{{"format", "jpeg"}}, Words{{"bits", "8"}, {"compression", "deflate"}},
          Words{{"medium", "canvas"}, {"wrap", "round"}}, Words{{"panels", "2"}, {"gap", "5mm"}}}) {
        jobs::MakeRequest request = room.request(picture, words);
        request.replace = true;
        const jobs::MakeOutcome outcome = room.make(request);
        ASSERT_EQ(outcome.ending, jobs::Ending::done) << outcome.sentence;
        for (const jobs::MadeFile& file : outcome.files) {
            EXPECT_EQ(make_again({.id = file.ledger_id, .to = {}, .picture = {}, .replace = true}).sameness,
                      Sameness::same_file)
                << words[0].second << ", panel " << file.plan.panel;
        }
    }
}

TEST_F(again, finds_a_moved_and_renamed_picture_by_its_content) {
    fs::create_directories(room.pictures() / "2026/sold");
    fs::rename(picture, room.pictures() / "2026/sold/first morning.tiff");
    room.tiff("decoy.tif", scene({90, 60}, 3, 8, 99));
    const jobs::Again result = make_again({.id = made.ledger_id, .to = {}, .picture = {}});
    EXPECT_EQ(result.sameness, Sameness::same_file);
    EXPECT_EQ(result.picture.filename(), "first morning.tiff");
}

TEST_F(again, asks_for_a_picture_that_is_nowhere_near_and_takes_the_folder_it_is_given) {
    fs::create_directory(room.root() / "elsewhere");
    fs::rename(picture, room.root() / "elsewhere/x.tif");
    const jobs::Ended lost = ending_of({.id = made.ledger_id, .to = {}, .picture = {}});
    EXPECT_EQ(lost.ending, jobs::Ending::unreadable);
    expect_a_sentence(lost.sentence, "ridge.tif");
    EXPECT_THAT(lost.sentence, HasSubstr("in which folder to look"));
    EXPECT_EQ(make_again({.id = made.ledger_id, .to = {}, .picture = room.root() / "elsewhere"}).sameness,
              Sameness::same_file);
}

TEST_F(again, refuses_a_picture_of_another_content) {
    const jobs::Ended end =
        ending_of({.id = made.ledger_id, .to = {}, .picture = room.tiff("other.tif", scene({90, 60}, 3, 8, 2))});
    EXPECT_EQ(end.ending, jobs::Ending::unreadable);
    expect_a_sentence(end.sentence, "other.tif");
    EXPECT_TRUE(nothing_kept());
}

TEST_F(again, tells_same_pixels_in_other_bytes) {
    const auto id = changed_record([](ledger::Row& row) { row.file_hash.bytes[0] ^= 1; });
    const jobs::Again result = make_again({.id = id, .to = {}, .picture = {}});
    EXPECT_EQ(result.sameness, Sameness::same_pixels);
    EXPECT_TRUE(fs::exists(result.file));
    expect_a_sentence(result.sentence, "same pixels");
}

TEST_F(again, tells_the_same_print_where_blocks_differ_by_less_than_can_be_seen) {
    const auto id = changed_record([](ledger::Row& row) {
        row.file_hash.bytes[0] ^= 1;
        row.samples.low ^= 1;
        for (std::uint16_t& mean : row.fingerprint) mean = static_cast<std::uint16_t>(mean + 20);
    });
    const jobs::Again result = make_again({.id = id, .to = {}, .picture = {}});
    EXPECT_EQ(result.sameness, Sameness::same_print);
    EXPECT_GT(result.largest_block_difference, 0);
    EXPECT_LE(result.largest_block_difference, 0.3);
    EXPECT_TRUE(fs::exists(result.file));
}

TEST_F(again, keeps_nothing_of_a_print_that_is_not_the_same_unless_told) {
    const auto id = changed_record([](ledger::Row& row) {
        row.file_hash.bytes[0] ^= 1;
        row.samples.low ^= 1;
        row.fingerprint.at(4) = static_cast<std::uint16_t>(row.fingerprint.at(4) ^ 0x8000);
    });
    const jobs::Again result = make_again({.id = id, .to = {}, .picture = {}});
    EXPECT_EQ(result.sameness, Sameness::not_same);
    EXPECT_GT(result.largest_block_difference, 0.3);
    EXPECT_EQ(result.ledger_id, 0);
    EXPECT_TRUE(result.file.empty());
    EXPECT_THAT(result.sentence, HasSubstr("Nothing was kept"));
    EXPECT_TRUE(nothing_kept());
    const jobs::Again kept = make_again({.id = id, .to = {}, .picture = {}, .anyway = true});
    EXPECT_EQ(kept.sameness, Sameness::not_same);
    EXPECT_TRUE(fs::exists(kept.file));
    EXPECT_GT(kept.ledger_id, id);
}

TEST_F(again, of_a_record_that_is_not_there_or_into_a_folder_that_is_not_there_is_said) {
    const jobs::Ended unknown = ending_of({.id = 4711, .to = {}, .picture = {}});
    EXPECT_EQ(unknown.ending, jobs::Ending::bad_wish);
    expect_a_sentence(unknown.sentence, "4711");
    folder = room.root() / "nowhere";
    const jobs::Ended no_folder = ending_of({.id = made.ledger_id, .to = {}, .picture = {}});
    EXPECT_EQ(no_folder.ending, jobs::Ending::unwritable);
    expect_a_sentence(no_folder.sentence, "nowhere");
}

class verify : public again {
  protected:
    jobs::Verified verified(const fs::path& file) {
        jobs::Context context = room.context();
        return jobs::verify(file, std::nullopt, context);
    }
    void expect_a_difference(const std::string& about) {
        const jobs::Verified found = verified(made.file);
        EXPECT_FALSE(found.matches);
        ASSERT_FALSE(found.differences.empty());
        for (const std::string& difference : found.differences) expect_a_sentence(difference, "");
        EXPECT_THAT(found.differences.front(), HasSubstr(about));
    }
    void change_byte(std::size_t at, std::byte mask) const {
        auto bytes = support::file_bytes(made.file);
        bytes.at(at) ^= mask;
        support::write_bytes(made.file, bytes);
    }
};

TEST_F(verify, finds_an_untouched_file_right_also_where_it_was_moved_to) {
    const jobs::Verified found = verified(made.file);
    EXPECT_TRUE(found.matches);
    EXPECT_TRUE(found.samples_compared);
    EXPECT_EQ(found.ledger_id, made.ledger_id);
    EXPECT_EQ(found.sha256, made.sha256);
    const fs::path moved = folder / made.file.filename();
    fs::rename(made.file, moved);
    EXPECT_TRUE(verified(moved).matches);
    const fs::path renamed = folder / "called otherwise.tif";
    fs::rename(moved, renamed);
    EXPECT_TRUE(verified(renamed).matches);
    EXPECT_EQ(verified(renamed).ledger_id, made.ledger_id);
}

TEST_F(verify, notices_the_lowest_bit_of_one_sample) {
    change_byte(support::file_bytes(made.file).size() - 100, std::byte{1});
    expect_a_difference("pixels are not those");
}

TEST_F(verify, notices_one_bit_of_a_jpeg) {
    made = room.made(picture, {{"format", "jpeg"}});
    EXPECT_TRUE(verified(made.file).matches);
    change_byte(support::file_bytes(made.file).size() - 100, std::byte{1});
    expect_a_difference("");
}

TEST_F(verify, notices_another_ppi_in_the_tag) {
    const auto bytes = support::file_bytes(made.file);
    const auto number = [&](std::size_t at, int count) {
        std::uint32_t value = 0;
        for (int i = 0; i < count; ++i)
            value |= std::to_integer<std::uint32_t>(bytes.at(at + static_cast<std::size_t>(i))) << (8 * i);
        return value;
    };
    const std::size_t directory = number(4, 4);
    std::size_t ppi_at = 0;
    for (std::size_t i = 0; i < number(directory, 2); ++i) {
        const std::size_t entry = directory + 2 + 12 * i;
        if (number(entry, 2) == TIFFTAG_XRESOLUTION) ppi_at = number(entry + 8, 4);
    }
    ASSERT_GT(ppi_at, 0u);
    change_byte(ppi_at, std::byte{1});
    expect_a_difference("ppi");
}

TEST_F(verify, notices_a_file_cut_short_and_one_byte_too_many) {
    const auto whole = support::file_bytes(made.file);
    support::write_bytes(made.file, std::span(whole).first(whole.size() / 2));
    expect_a_difference(made.file.filename().string());
    auto longer = whole;
    longer.push_back(std::byte{0});
    support::write_bytes(made.file, longer);
    expect_a_difference("");
    support::write_bytes(made.file, {});
    expect_a_difference(made.file.filename().string());
}

TEST_F(verify, notices_the_picture_written_again_by_another_program) {
    const support::TestPicture samples = read_tiff(made.file);
    support::write_tiff(made.file, samples, {});
    expect_a_difference("");
}

TEST_F(verify, tells_a_file_that_nobody_made_and_one_that_is_missing) {
    jobs::Context context = room.context();
    const jobs::Ended unknown = jobs::ended([&] { jobs::verify(picture, std::nullopt, context); });
    EXPECT_EQ(unknown.ending, jobs::Ending::bad_wish);
    expect_a_sentence(unknown.sentence, "ridge.tif");
    const jobs::Ended missing = jobs::ended([&] { jobs::verify(folder / "none.tif", std::nullopt, context); });
    EXPECT_EQ(missing.ending, jobs::Ending::unreadable);
    expect_a_sentence(missing.sentence, "none.tif");
    const jobs::Ended a_folder = jobs::ended([&] { jobs::verify(folder, std::nullopt, context); });
    EXPECT_EQ(a_folder.ending, jobs::Ending::unreadable) << a_folder.sentence;
}

}  // namespace
}  // namespace hangtrue::jobs_test
