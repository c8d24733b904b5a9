// SPDX-License-Identifier: Apache-2.0
#include "engine/ledger/ledger.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "tests/ledger/support.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::ledger {
namespace {

namespace fs = std::filesystem;
using support::TemporaryFolder;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

std::int64_t add(Ledger& ledger, const Row& row) {
    const auto id = ledger.note_intention(row);
    ledger.record(id);
    return id;
}

void expect_same(const Row& actual, const Row& expected) {
    EXPECT_EQ(actual.made_at, expected.made_at);
    EXPECT_EQ(actual.picture_path, expected.picture_path);
    EXPECT_EQ(actual.picture_content, expected.picture_content);
    EXPECT_EQ(actual.file_path, expected.file_path);
    EXPECT_EQ(actual.bytes, expected.bytes);
    EXPECT_EQ(actual.file_hash, expected.file_hash);
    EXPECT_EQ(actual.samples, expected.samples);
    EXPECT_EQ(actual.fingerprint, expected.fingerprint);
    EXPECT_EQ(actual.plan_text, expected.plan_text);
    EXPECT_EQ(actual.program_version, expected.program_version);
    EXPECT_EQ(actual.shop, expected.shop);
    EXPECT_EQ(actual.medium, expected.medium);
    EXPECT_EQ(actual.size_name, expected.size_name);
    EXPECT_EQ(actual.picture_name, expected.picture_name);
    EXPECT_EQ(actual.quantity, expected.quantity);
    EXPECT_EQ(actual.jpeg_quality, expected.jpeg_quality);
}

TEST(ledger, every_field_comes_back_after_closing_and_opening) {
    const TemporaryFolder folder;
    std::int64_t id = 0;
    {
        Ledger ledger(folder.path() / "ledger.sqlite");
        id = add(ledger, some_row());
    }
    const Ledger ledger(folder.path() / "ledger.sqlite");
    const auto row = ledger.row(id);
    ASSERT_TRUE(row);
    EXPECT_EQ(row->id, id);
    expect_same(*row, some_row());
}

TEST(ledger, odd_texts_come_back_as_they_were) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    Row row = some_row();
    row.picture_name = "Grüße, 'x'; DROP TABLE made; -- \u65e5\u672c";
    row.plan_text = std::string("a\0b", 3) + std::string(300'000, 'p');
    row.picture_path = "/pictures/not utf-8 \xff\xfe.tif";
    row.fingerprint.clear();
    const auto back = ledger.row(add(ledger, row));
    ASSERT_TRUE(back);
    expect_same(*back, row);
}

TEST(ledger, a_row_that_is_not_there_is_nothing) {
    const TemporaryFolder folder;
    const Ledger ledger(folder.path() / "ledger.sqlite");
    EXPECT_FALSE(ledger.row(1));
    EXPECT_FALSE(ledger.row(-1));
    EXPECT_FALSE(ledger.row_of_file("/prints/ridge-1.tif"));
    EXPECT_THAT(ledger.rows(), IsEmpty());
}

TEST(ledger, missing_folders_are_made) {
    const TemporaryFolder folder;
    const auto file = folder.path() / "data" / "hangtrue" / "ledger.sqlite";
    const Ledger ledger(file);
    EXPECT_TRUE(fs::is_regular_file(file));
}

TEST(ledger, rows_come_newest_first_and_no_more_than_asked) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    for (int number = 1; number <= 5; ++number) add(ledger, some_row(number));
    const auto rows = ledger.rows({}, 3);
    ASSERT_THAT(rows, SizeIs(3));
    EXPECT_EQ(rows[0].file_path, "/prints/ridge-5.tif");
    EXPECT_EQ(rows[2].file_path, "/prints/ridge-3.tif");
    EXPECT_THAT(ledger.rows({}, 0), IsEmpty());
    EXPECT_THAT(ledger.rows({}, -7), IsEmpty());
}

TEST(ledger, search_looks_in_picture_shop_medium_and_size) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    Row metal = some_row(1);
    Row canvas = some_row(2);
    canvas.picture_name = "Harbour 100% fog";
    canvas.shop = "Tarn & Hollow";
    canvas.medium = "Canvas 38_mm";
    canvas.size_name = "24x16in";
    add(ledger, metal);
    add(ledger, canvas);
    EXPECT_THAT(ledger.rows("ridge"), SizeIs(1));
    EXPECT_THAT(ledger.rows("QUILLFEN"), SizeIs(1));
    EXPECT_THAT(ledger.rows("canvas"), SizeIs(1));
    EXPECT_THAT(ledger.rows("24x16"), SizeIs(1));
    EXPECT_THAT(ledger.rows("in"), SizeIs(2));
    EXPECT_THAT(ledger.rows("nowhere"), IsEmpty());
}

TEST(ledger, search_takes_percent_underscore_and_backslash_as_letters) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    Row plain = some_row(1);
    Row odd = some_row(2);
    odd.picture_name = "100% fog_2 \\ b";
    add(ledger, plain);
    add(ledger, odd);
    EXPECT_THAT(ledger.rows("100%"), SizeIs(1));
    EXPECT_THAT(ledger.rows("%"), SizeIs(1));
    EXPECT_THAT(ledger.rows("fog_2"), SizeIs(1));
    EXPECT_THAT(ledger.rows("_"), SizeIs(1));
    EXPECT_THAT(ledger.rows("\\"), SizeIs(1));
}

TEST(ledger, lists_leave_the_fingerprint_out) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    add(ledger, some_row());
    EXPECT_THAT(ledger.rows().front().fingerprint, IsEmpty());
}

TEST(ledger, the_row_of_a_file_is_its_newest) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    Row row = some_row();
    row.made_at = "first";
    add(ledger, row);
    row.made_at = "second";
    add(ledger, row);
    row.made_at = "only an intention";
    ledger.note_intention(row);
    const auto found = ledger.row_of_file(row.file_path);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->made_at, "second");
    EXPECT_THAT(found->fingerprint, SizeIs(7));
}

TEST(ledger, a_file_is_found_however_its_path_is_written) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    fs::create_directories(folder.path() / "prints" / "metal");
    fs::create_directory_symlink(folder.path() / "prints", folder.path() / "link");
    Row row = some_row();
    row.file_path = folder.path() / "prints" / "metal" / ".." / "." / "ridge.tif";
    const auto id = add(ledger, row);
    EXPECT_EQ(ledger.row(id)->file_path, folder.path() / "prints" / "ridge.tif");
    EXPECT_TRUE(ledger.row_of_file(folder.path() / "prints" / "ridge.tif"));
    EXPECT_TRUE(ledger.row_of_file(folder.path() / "link" / "ridge.tif"));
    EXPECT_TRUE(ledger.row_of_file(fs::relative(folder.path() / "prints" / "ridge.tif")));
    EXPECT_FALSE(ledger.row_of_file(folder.path() / "prints" / "metal" / "ridge.tif"));
}

TEST(ledger, an_intention_is_no_row_until_it_is_recorded) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    const auto id = ledger.note_intention(some_row());
    EXPECT_FALSE(ledger.row(id));
    EXPECT_THAT(ledger.rows(), IsEmpty());
    ASSERT_THAT(ledger.open_intentions(), SizeIs(1));
    EXPECT_EQ(ledger.open_intentions().front().id, id);
    expect_same(ledger.open_intentions().front(), some_row());
    ledger.record(id);
    EXPECT_THAT(ledger.open_intentions(), IsEmpty());
    EXPECT_TRUE(ledger.row(id));
}

TEST(ledger, a_dropped_intention_is_neither_open_nor_a_row) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    const auto id = ledger.note_intention(some_row());
    ledger.drop_intention(id);
    EXPECT_THAT(ledger.open_intentions(), IsEmpty());
    EXPECT_FALSE(ledger.row(id));
    EXPECT_GT(ledger.note_intention(some_row()), id);  // Its number is not given again.
}

TEST(ledger, a_recorded_file_stays_recorded_whatever_another_process_took_it_for) {
    const TemporaryFolder folder;
    Ledger maker(folder.path() / "ledger.sqlite");
    Ledger other(folder.path() / "ledger.sqlite");
    const auto id = maker.note_intention(some_row());
    other.drop_intention(id);  // Taken for one left by a kill, before the file had its name.
    maker.record(id);
    EXPECT_TRUE(other.row(id));
    other.record(id);
    other.drop_intention(id);
    EXPECT_TRUE(maker.row(id));
}

TEST(ledger, recording_what_was_never_noted_fails) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    EXPECT_THROW(ledger.record(17), base::LedgerFailed);
}

TEST(ledger, profiles_come_back_byte_for_byte) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    std::vector<std::byte> bytes(3144);
    for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::byte>(i * 7);
    const auto hash = base::sha256(bytes);
    EXPECT_FALSE(ledger.profile(hash));
    ledger.keep_profile(hash, bytes);
    ledger.keep_profile(hash, bytes);
    EXPECT_EQ(ledger.profile(hash), bytes);
}

TEST(ledger, what_was_measured_is_kept_by_picture_and_version) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    EXPECT_FALSE(ledger.measured(hash_of("a"), 1));
    ledger.keep_measured(hash_of("a"), 1, "{\"blur\": 0.7}");
    ledger.keep_measured(hash_of("a"), 2, "{\"blur\": 0.8}");
    ledger.keep_measured(hash_of("a"), 1, "{\"blur\": 0.9}");
    EXPECT_EQ(ledger.measured(hash_of("a"), 1), "{\"blur\": 0.9}");
    EXPECT_EQ(ledger.measured(hash_of("a"), 2), "{\"blur\": 0.8}");
    EXPECT_FALSE(ledger.measured(hash_of("b"), 1));
}

TEST(ledger, places_of_a_picture_come_last_seen_first) {
    const TemporaryFolder folder;
    Ledger ledger(folder.path() / "ledger.sqlite");
    EXPECT_THAT(ledger.picture_places(hash_of("a")), IsEmpty());
    ledger.keep_picture_place(hash_of("a"), "/one.tif");
    ledger.keep_picture_place(hash_of("a"), "/two.tif");
    ledger.keep_picture_place(hash_of("b"), "/other.tif");
    EXPECT_THAT(ledger.picture_places(hash_of("a")), ElementsAre("/two.tif", "/one.tif"));
    ledger.keep_picture_place(hash_of("a"), "/one.tif");
    ledger.keep_picture_place(hash_of("a"), "/one.tif");
    EXPECT_THAT(ledger.picture_places(hash_of("a")), ElementsAre("/one.tif", "/two.tif"));
}

}  // namespace
}  // namespace hangtrue::ledger
