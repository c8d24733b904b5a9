// SPDX-License-Identifier: Apache-2.0
// The verbs at work, on a small picture and a shop of the test's own.

#include <gmock/gmock.h>

#include "tests/cli/program.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

std::vector<std::string> keys_of(const Json& object) {
    std::vector<std::string> keys;
    for (const auto& [key, value] : object.items()) keys.push_back(key);
    return keys;
}

TEST(cli_make, a_3_by_2_in_print_at_60_ppi_has_180_x_120_px_and_all_its_facts_at_the_top_of_the_json) {
    const Studio studio;
    const Ran ran = studio.make({"--json"});
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_EQ(ran.err, "");
    const Json json = ran.json();
    EXPECT_EQ(json["status"], 0);
    EXPECT_EQ(json["ending"], "done");
    EXPECT_EQ(json["width_px"], 180);
    EXPECT_EQ(json["height_px"], 120);
    EXPECT_EQ(json["ppi"], 60.0);
    EXPECT_EQ(json["verified"], true);
    EXPECT_EQ(json["bytes"], fs::file_size(json["file"].get<std::string>()));
    EXPECT_THAT(json["sha256"].get<std::string>(), testing::MatchesRegex("[0-9a-f]+"));
    EXPECT_TRUE(fs::exists(json["ticket"].get<std::string>()));
    EXPECT_LE(json["order_note"].get<std::string>().size(), 250u);
    EXPECT_EQ(json["files"], json["jobs"][0]["files"]);
    for (const char* key : {"ledger_id", "plan", "seconds", "spilled_bytes", "decoder_bytes", "colour", "lossy"}) {
        EXPECT_TRUE(json.contains(key)) << key;
    }
    for (const char* key : {"open", "measure", "compute", "write", "sync", "read_back", "whole"}) {
        EXPECT_GE(json["seconds"][key].get<double>(), 0) << key;
    }
    for (const char* key : {"crop", "image", "enlarging", "picture_ppi", "sharpening"}) {
        EXPECT_TRUE(json["plan"].contains(key)) << key;
    }
    // 300 px over 3 in.
    EXPECT_DOUBLE_EQ(json["plan"]["picture_ppi"].get<double>(), 100);
}

TEST(cli_make, tells_a_reader_what_was_made_and_where_the_ticket_is) {
    const Studio studio;
    const Ran ran = studio.make();
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("is made, read back and found right: ridge.tif on Plain paper from Test Prints"));
    EXPECT_THAT(ran.out, HasSubstr("180 x 120 px at 60 ppi"));
    EXPECT_THAT(ran.out, HasSubstr("ticket.pdf"));
    EXPECT_THAT(ran.out, HasSubstr("No enhancement"));
}

TEST(cli_make, a_name_that_exists_ends_with_4_unless_replaced) {
    const Studio studio;
    ASSERT_EQ(studio.make().status, 0);
    const Ran again = studio.make();
    EXPECT_EQ(again.status, 4);
    EXPECT_THAT(again.err, HasSubstr("--replace"));
    EXPECT_EQ(studio.make({"--replace"}).status, 0);
}

TEST(cli_make, a_folder_that_is_missing_ends_with_4_and_is_not_made) {
    const Studio studio;
    Words words = studio.making();
    *std::find(words.begin(), words.end(), studio.out.string()) = (studio.root() / "nowhere").string();
    const Ran ran = studio.run(words);
    EXPECT_EQ(ran.status, 4);
    EXPECT_THAT(ran.err, HasSubstr("does not exist"));
    EXPECT_FALSE(fs::exists(studio.root() / "nowhere"));
}

TEST(cli_make, a_medium_a_shop_or_a_size_that_does_not_exist_ends_with_2_and_the_nearest) {
    const Studio studio;
    const auto making = [&](const std::string& option, const std::string& value) {
        Words words = studio.making();
        *(std::find(words.begin(), words.end(), option) + 1) = value;
        return studio.run(words);
    };
    const Ran medium = making("--medium", "plain-papre");
    EXPECT_EQ(medium.status, 2);
    EXPECT_THAT(medium.err, HasSubstr("plain-paper"));
    const Ran shop = making("--shop", "tset-prints");
    EXPECT_EQ(shop.status, 2);
    EXPECT_THAT(shop.err, HasSubstr("test-prints"));
    const Ran size = making("--size", "5x4in");
    EXPECT_EQ(size.status, 2);
    EXPECT_THAT(size.err, HasSubstr("6 x 4"));
    EXPECT_THAT(studio.made(), IsEmpty());
}

TEST(cli_make, each_print_is_made_or_refused_by_itself_and_the_largest_status_wins) {
    const Studio studio;
    const fs::path no_picture = studio.root() / "notes.txt";
    support::write_bytes(no_picture, std::as_bytes(std::span("nothing to see", 14)));
    Words words = studio.making({"--size", "6x4in", "--json"});
    words.insert(words.begin() + 1, no_picture.string());
    const Ran ran = studio.run(words);
    EXPECT_EQ(ran.status, 3) << ran.err;
    const Json jobs = ran.json()["jobs"];
    ASSERT_EQ(jobs.size(), 4u);
    EXPECT_EQ(jobs[0]["status"], 3);
    EXPECT_EQ(jobs[1]["status"], 3);
    EXPECT_THAT(jobs[0]["sentence"].get<std::string>(), HasSubstr("notes.txt"));
    EXPECT_EQ(jobs[2]["status"], 0);
    EXPECT_EQ(jobs[3]["status"], 0);
    EXPECT_EQ(print_files(studio).size(), 2u);
    EXPECT_FALSE(ran.json().contains("file")) << "several jobs: no file stands at the top";
}

TEST(cli_make, a_list_makes_what_options_make_byte_for_byte) {
    const Studio studio;
    const Ran by_options = studio.make({"--bits", "8", "--json"});
    ASSERT_EQ(by_options.status, 0) << by_options.err;
    const std::string list =
        "format = 1\n[[print]]\npicture = \"ridge.tif\"\nshop = \"test-prints\"\nmedium = \"plain-paper\"\n"
        "size = \"3x2in\"\nbits = 8\n";
    const fs::path list_file = studio.root() / "list.toml";
    support::write_bytes(list_file, std::as_bytes(std::span(list)));
    const fs::path other = studio.root() / "other";
    fs::create_directory(other);
    const Ran by_list = studio.run({"make", "--list", list_file.string(), "--to", other.string(), "--json"});
    ASSERT_EQ(by_list.status, 0) << by_list.err;
    EXPECT_EQ(by_list.json()["sha256"], by_options.json()["sha256"]);

    support::write_bytes(list_file, std::as_bytes(std::span("format = 1\n[[print]]\npicure = \"a.tif\"\n", 38)));
    const Ran wrong = studio.run({"make", "--list", list_file.string(), "--to", other.string()});
    EXPECT_EQ(wrong.status, 3);
    EXPECT_THAT(wrong.err, HasSubstr("list.toml"));
}

TEST(cli_make, a_saved_plan_makes_the_same_bytes_and_takes_no_wish_beside_it) {
    const Studio studio;
    const fs::path plan = studio.root() / "plan.toml";
    const Ran first = studio.make({"--save-plan", plan.string(), "--json"});
    ASSERT_EQ(first.status, 0) << first.err;
    const Ran second = studio.run(
        {"make", studio.picture.string(), "--plan", plan.string(), "--to", studio.out.string(), "--replace", "--json"});
    ASSERT_EQ(second.status, 0) << second.err;
    EXPECT_EQ(second.json()["sha256"], first.json()["sha256"]);
    EXPECT_EQ(studio.run({"verify", first.json()["file"], "--plan", plan.string()}).status, 0);

    support::write_bytes(plan, std::as_bytes(std::span("format = 1\n", 11)));
    const Words with_empty_plan{"make", studio.picture.string(), "--plan", plan.string(), "--to", studio.out.string()};
    EXPECT_EQ(studio.run(with_empty_plan).status, 3);
}

TEST(cli_make, the_number_of_threads_changes_no_byte) {
    const Studio studio;
    std::vector<std::string> hashes;
    for (const char* threads : {"1", "2", "4"}) {
        const Ran ran = studio.make({"--ppi", "300", "--threads", threads, "--replace", "--json"});
        ASSERT_EQ(ran.status, 0) << ran.err;
        hashes.push_back(ran.json()["sha256"]);
    }
    EXPECT_THAT(hashes, testing::Each(hashes[0]));
}

TEST(cli_view, a_window_is_the_pixels_of_the_file_and_its_name_is_not_taken_twice) {
    const Studio studio;
    const fs::path view = studio.root() / "view.png";
    const Words words{"view",     studio.picture.string(), "--shop", "test-prints",
                      "--medium", "plain-paper",           "--size", "3x2in",
                      "--window", "100,50,200,30",         "--out",  view.string()};
    Words as_json = words;
    as_json.push_back("--json");
    const Ran ran = studio.run(as_json);
    ASSERT_EQ(ran.status, 0) << ran.err;
    // 180 px wide: of 200 from 100 on, 80 are there.
    EXPECT_EQ(ran.json()["window"], (Json{{"x_px", 100}, {"y_px", 50}, {"width_px", 80}, {"height_px", 30}}));
    EXPECT_EQ(ran.json()["width_px"], 80);
    EXPECT_EQ(studio.run(words).status, 4);
    for (const char* window : {"1,2,3", "1,2,3,4,5", "a,2,3,4", "1,2,0,4", "9999999999,0,1,1", "", "500,0,1,1"}) {
        Words wrong = words;
        *(std::find(wrong.begin(), wrong.end(), "--window") + 1) = window;
        wrong.push_back("--replace");
        EXPECT_EQ(studio.run(wrong).status, 2) << window;
    }
}

TEST(cli_enlarge, twice_300_x_200_px_is_600_x_400_px) {
    const Studio studio;
    const fs::path out = studio.root() / "twice.png";
    const Ran ran = studio.run({"enlarge", studio.picture.string(), out.string(), "--factor", "2",  //
                                "--enlarge", "filter", "--json"});
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_EQ(ran.json()["width_px"], 600);
    EXPECT_EQ(ran.json()["height_px"], 400);
    EXPECT_TRUE(fs::exists(out));
    const Ran gif =
        studio.run({"enlarge", studio.picture.string(), (studio.root() / "twice.gif").string(), "--factor", "2"});
    EXPECT_EQ(gif.status, 2);
}

TEST(cli_enlarge, says_by_what_and_how_like_the_picture_the_result_is) {
    const Studio studio;
    const auto enlarged = [&](const Words& more) {
        Words words{"enlarge", studio.picture.string(), (studio.root() / "twice.png").string(), "--factor", "2"};
        words.insert(words.end(), more.begin(), more.end());
        words.emplace_back("--replace");
        return studio.run(words);
    };
    const Json by_filter = enlarged({"--enlarge", "filter", "--json"}).json();
    EXPECT_TRUE(by_filter["network"].is_null());
    EXPECT_TRUE(by_filter["likeness"].is_null());
    const Json by_network = enlarged({"--enlarge", "quick", "--json"}).json();
    EXPECT_EQ(by_network["network"]["name"], "quick");
    EXPECT_EQ(by_network["network"]["grain"], "keep");
    EXPECT_GT(by_network["likeness"]["decibels"], 50);
    EXPECT_TRUE(by_network["likeness"].contains("mean_difference_of_255"));
    EXPECT_TRUE(by_network["likeness"].contains("largest_block_difference_of_255"));
    EXPECT_THAT(enlarged({}).out, HasSubstr("by the network \"fine\"."));
    EXPECT_THAT(enlarged({"--enlarge", "filter", "--grain", "calm"}).out, HasSubstr("whatever --grain says"));
}

TEST(cli_test_status, without_a_medium_lists_the_sheets_and_with_half_of_one_asks_for_it) {
    const Studio studio;
    const Ran none = studio.run({"test", "status"});
    EXPECT_EQ(none.status, 0) << none.err;
    EXPECT_THAT(none.out, HasSubstr("No test sheet has been made yet"));
    const Ran made = studio.run({"test", "sheet", studio.picture.string(), "--shop", "test-prints", "--medium",
                                 "plain-paper", "--size", "6x4in", "--on", "6x4in", "--to", studio.out.string()});
    ASSERT_EQ(made.status, 0) << made.err;
    const Ran listed = studio.run({"test", "status"});
    EXPECT_THAT(listed.out, testing::ContainsRegex("\n1 +[0-9]{4}-[0-9]{2}-[0-9]{2} +Plain paper from Test Prints"));
    EXPECT_THAT(listed.out, testing::AllOf(HasSubstr("ridge.tif"), HasSubstr("not read yet")));
    const Json sheets = studio.run({"test", "status", "--json"}).json()["test_sheets"];
    ASSERT_EQ(sheets.size(), 1u);
    EXPECT_EQ(sheets[0]["sheet"], 1);
    EXPECT_EQ(sheets[0]["answers"], 0);
    EXPECT_EQ(studio.run({"test", "status", "--shop", "test-prints"}).status, 2);
}

TEST(cli_sizes, json_holds_for_each_size_what_the_picture_brings) {
    const Studio studio;
    const Ran ran = studio.run({"sizes", studio.picture.string(), "--json"});
    ASSERT_EQ(ran.status, 0) << ran.err;
    const Json picture = ran.json()["pictures"][0];
    EXPECT_EQ(picture["width_px"], 300);
    const Json medium = picture["media"][0];
    EXPECT_EQ(medium["medium"], "plain-paper");
    EXPECT_DOUBLE_EQ(medium["native_width_mm"].get<double>(), 127);  // 300 px at 60 ppi: 5 in
    EXPECT_EQ(medium["largest_without_enlarging"], "3 x 2");
    ASSERT_EQ(medium["sizes"].size(), 2u);
    EXPECT_DOUBLE_EQ(medium["sizes"][0]["picture_ppi"].get<double>(), 100);
    EXPECT_DOUBLE_EQ(medium["sizes"][1]["picture_ppi"].get<double>(), 50);
    EXPECT_DOUBLE_EQ(medium["sizes"][1]["enlarging"].get<double>(), 1.2);
    EXPECT_NEAR(medium["sizes"][1]["crop_loss"].get<double>(), 0, 1e-12);
    EXPECT_EQ(medium["sizes"][1]["price_cents"], 900);
    // 20/20 vision resolves one minute of arc (ISO 8596; from memory): 1/50 in spans it from 1.746 m.
    EXPECT_NEAR(medium["sizes"][1]["sharp_from_m"].get<double>(), 1.746, 0.01);
}

TEST(cli_sizes, a_reader_sees_a_table_with_the_largest_size_marked_in_both_units) {
    const Studio studio;
    const Ran inches = studio.run({"sizes", studio.picture.string()});
    EXPECT_THAT(inches.out, HasSubstr("ridge.tif, 300 x 200 px"));
    EXPECT_THAT(inches.out, HasSubstr("The largest size without enlarging is 3 x 2"));
    EXPECT_THAT(inches.out, HasSubstr("\n  *   3 x 2   3 x 2 in   100 ppi"));
    EXPECT_THAT(inches.out, HasSubstr("Plain paper from Test Prints (--shop test-prints --medium plain-paper)"));
    EXPECT_THAT(inches.out, HasSubstr("4.50 EUR"));
    EXPECT_THAT(inches.out, HasSubstr("5 x 3.33 in"));
    EXPECT_THAT(studio.run({"sizes", studio.picture.string(), "--units", "cm"}).out,
                testing::AllOf(HasSubstr("12.7 x 8.47 cm"), HasSubstr("3 x 2   7.62 x 5.08 cm")));
    const Ran missing = studio.run({"sizes", studio.picture.string(), (studio.root() / "none.tif").string(), "--json"});
    EXPECT_EQ(missing.status, 3);
    EXPECT_EQ(missing.json()["pictures"][0]["status"], 0);
    EXPECT_EQ(missing.json()["pictures"][1]["status"], 3);
}

TEST(cli_detail, json_holds_detail_noise_and_earlier_enlarging_and_the_text_says_what_they_mean) {
    const Studio studio;
    const fs::path report = studio.root() / "detail.pdf";
    const Ran ran = studio.run({"detail", studio.picture.string(), "--report", report.string(), "--json"});
    ASSERT_EQ(ran.status, 0) << ran.err;
    const Json picture = ran.json()["pictures"][0];
    const double detail = picture["detail_cycles_per_pixel"].get<double>();
    EXPECT_NEAR(picture["true_megapixels"].get<double>(), 0.06 * detail * detail / 0.25, 1e-9);  // 300 x 200 px
    EXPECT_GE(picture["noise_sd_8bit"].get<double>(), 0);
    EXPECT_EQ(picture["enlarged_before"].get<double>(), 1);
    EXPECT_TRUE(picture["jpeg_quality"].is_null());
    EXPECT_EQ(ran.json()["report"], report.string());
    EXPECT_TRUE(fs::exists(report));
    const Ran again = studio.run({"detail", studio.picture.string(), "--report", report.string()});
    EXPECT_EQ(again.status, 4) << "the name is taken";
    const Ran text = studio.run({"detail", studio.picture.string(), (studio.root() / "none.tif").string()});
    EXPECT_EQ(text.status, 3);
    EXPECT_THAT(text.out, HasSubstr("ridge.tif, 300 x 200 px"));
    EXPECT_THAT(text.err, HasSubstr("none.tif"));
}

TEST(cli_sizes, headers_alone_tell_nothing_of_sharpness_and_a_distance_decides_it) {
    const Studio studio;
    const auto sharpness = [&](const std::vector<std::string>& words) {
        std::vector<std::string> all{"sizes", studio.picture.string(), "--json"};
        all.insert(all.end(), words.begin(), words.end());
        const Ran ran = studio.run(all);
        EXPECT_EQ(ran.status, 0) << ran.err;
        return ran.json()["pictures"][0]["media"][0]["sizes"][1];
    };
    EXPECT_EQ(sharpness({"--headers"})["sharpness"], "unknown");
    EXPECT_TRUE(sharpness({"--headers"})["detail_ppi"].is_null());
    EXPECT_DOUBLE_EQ(sharpness({"--distance", "3m"})["wall_distance_m"].get<double>(), 3);
    // 6 x 4 in: its diagonal, 183.2 mm, is nearer than the room is deep.
    EXPECT_NEAR(sharpness({"--room", "30cm"})["wall_distance_m"].get<double>(), 0.1832, 1e-4);
    EXPECT_EQ(studio.run({"sizes", studio.picture.string(), "--room", "cellar"}).status, 2);
}

TEST(cli_check, makes_nothing_and_says_what_it_found) {
    const Studio studio;
    const Ran ran = studio.run({"check", studio.picture.string(), "--shop", "test-prints", "--medium", "plain-paper",
                                "--size", "3x2in", "--size", "6x4in", "--json"});
    ASSERT_EQ(ran.status, 0) << ran.err;
    ASSERT_EQ(ran.json()["prints"].size(), 2u);
    EXPECT_EQ(ran.json()["prints"][0]["plans"][0]["width_px"], 180);
    EXPECT_THAT(studio.made(), IsEmpty());
    const Ran refused = studio.run({"check", studio.picture.string(), "--shop", "test-prints", "--medium",
                                    "plain-paper", "--size", "3x2in", "--ppi", "500", "--json"});
    EXPECT_TRUE(refused.status == 1 || refused.status == 2) << refused.out;  // the medium takes at most 400 ppi
}

TEST(cli_ledger, lists_shows_and_makes_again_the_same_file_even_from_a_moved_picture) {
    const Studio studio;
    const Ran made = studio.make({"--json"});
    ASSERT_EQ(made.status, 0) << made.err;
    const std::string id = std::to_string(made.json()["ledger_id"].get<int>());
    const Json records = studio.run({"ledger", "list", "ridge", "--json"}).json()["records"];
    ASSERT_EQ(records.size(), 1u);
    EXPECT_EQ(records[0]["file"], made.json()["file"]);
    EXPECT_THAT(studio.run({"ledger", "list", "valley"}).out, HasSubstr("No record holds \"valley\""));
    const Ran shown = studio.run({"ledger", "show", id, "--json"});
    ASSERT_EQ(shown.status, 0) << shown.err;
    EXPECT_EQ(shown.json()["sha256"], made.json()["sha256"]);
    EXPECT_EQ(shown.json()["plan"], made.json()["plan"]);
    EXPECT_EQ(studio.run({"ledger", "show", "77"}).status, 2);

    fs::create_directory(studio.root() / "moved");
    fs::rename(studio.picture, studio.root() / "moved/other name.tif");
    fs::create_directory(studio.root() / "again");
    const Ran again = studio.run({"ledger", "again", id, "--to", (studio.root() / "again").string(), "--json"});
    ASSERT_EQ(again.status, 0) << again.err;
    EXPECT_EQ(again.json()["sameness"], "same-file");
    EXPECT_EQ(support::file_bytes(again.json()["file"].get<std::string>()),
              support::file_bytes(made.json()["file"].get<std::string>()));
}

TEST(cli_ledger, one_that_is_no_ledger_ends_with_6) {
    const Studio studio;
    ASSERT_EQ(studio.make().status, 0);
    support::write_bytes(studio.data / "ledger.sqlite",
                         std::as_bytes(std::span("not a ledger at all, but a text", 31)));
    const Ran ran = studio.run({"ledger", "list", "--json"});
    EXPECT_EQ(ran.status, 6);
    EXPECT_EQ(ran.json()["ending"], "ledger");
}

TEST(cli_verify, a_file_without_a_record_or_a_missing_one_is_told_apart) {
    const Studio studio;
    EXPECT_EQ(studio.run({"verify", studio.picture.string()}).status, 2);
    EXPECT_EQ(studio.run({"verify", (studio.root() / "none.tif").string()}).status, 3);
}

TEST(cli_shop, begins_checks_shows_and_asks) {
    const Studio studio;
    const Ran begun = studio.run({"shop", "new", "Marrow & Tine", "--json"});
    ASSERT_EQ(begun.status, 0) << begun.err;
    EXPECT_EQ(begun.json()["file"], (studio.data / "shops/marrow-tine.toml").string());
    EXPECT_EQ(studio.run({"shop", "new", "Marrow Tine"}).status, 4) << "a shop's file is never written over";
    EXPECT_EQ(studio.run({"shop", "check"}).status, 0);
    const Json shops = studio.run({"shop", "list", "--json"}).json()["shops"];
    ASSERT_EQ(shops.size(), 2u);

    const Ran shown = studio.run({"shop", "show", "test-prints", "plain-paper", "--json"});
    ASSERT_EQ(shown.status, 0) << shown.err;
    const Json medium = shown.json()["shop"]["media"][0];
    EXPECT_EQ(medium["wanted_ppi"], 60.0);
    EXPECT_EQ(medium["sizes"][0]["price_cents"], 450);
    EXPECT_EQ(medium["mirrored"], nullptr) << "not told";
    EXPECT_THAT(keys_of(medium), testing::Contains("file_space"));

    const Ran letter = studio.run({"shop", "questions", "test-prints"});
    EXPECT_EQ(letter.status, 0);
    const Json asked = studio.run({"shop", "questions", "test-prints", "--json"}).json();
    EXPECT_FALSE(asked["questions"].empty());
    EXPECT_TRUE(letter.out.starts_with(asked["letter"].get<std::string>()));
}

TEST(cli_shop, a_wrong_shop_file_ends_with_3_and_names_line_and_column) {
    const Studio studio;
    const std::string wrong = test_shop() + "colour = 3\n";
    support::write_bytes(studio.data / "shops/wrong.toml", std::as_bytes(std::span(wrong)));
    const Ran ran = studio.run({"shop", "check", "--json"});
    EXPECT_EQ(ran.status, 3);
    EXPECT_EQ(ran.json()["files"].size(), 2u);
    EXPECT_THAT(ran.err, testing::ContainsRegex("wrong\\.toml.*[0-9]+"));
    EXPECT_EQ(studio.run({"shop", "check", "test-prints"}).status, 0) << "the other one is in order";
}

TEST(cli_json, numbers_read_the_same_under_a_locale_with_commas) {
    const Studio studio;
    const Surroundings german{{{"LC_ALL", "de_DE.UTF-8"}, {"LANG", "de_DE.UTF-8"}}, "", {}};
    EXPECT_EQ(studio.run({"sizes", studio.picture.string(), "--headers", "--json"}, german).out,
              studio.run({"sizes", studio.picture.string(), "--headers", "--json"}).out);
}

TEST(cli_json, a_file_name_that_is_no_utf_8_still_gives_a_document) {
    const Studio studio;
    const fs::path odd = studio.root() / "ridge\xff.tif";
    fs::copy_file(studio.picture, odd);
    const Ran ran = studio.run({"sizes", odd.string(), "--json"});
    EXPECT_EQ(ran.status, 0) << ran.err;
    EXPECT_THAT(ran.json()["pictures"][0]["picture"].get<std::string>(), HasSubstr("\xef\xbf\xbd"));
}

TEST(cli_words, what_looks_like_an_option_is_a_name_after_two_dashes) {
    const Studio studio;
    const Ran ran = run_program({"ledger", "list", "--data", studio.data.string(), "--", "--quiet"});
    EXPECT_EQ(ran.status, 0) << ran.err;
    EXPECT_EQ(ran.out, "No record holds \"--quiet\".\n");
}

}  // namespace
}  // namespace hangtrue::cli_test
