// SPDX-License-Identifier: Apache-2.0
// Test sheets from wish to file, readings of them, and the correction that prints then get.

#include <fstream>

#include "engine/jobs/readings.h"
#include "engine/jobs/sheet_list.h"
#include "engine/jobs/test_sheets.h"
#include "engine/ledger/ledger.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

/// Sizes by two machines, and one that is too small for a sheet.
std::string press_shop() {
    support::ShopMedium poster;
    poster.id = "poster";
    poster.name = "Poster";
    poster.ppi = "{ least = 10, wanted = 80, most = 400 }";
    poster.more = "safe_area = \"4 mm\"\n";
    poster.file = "formats = [\"tiff\"]\ntiff_bits = [8]\ntiff_compressions = [\"none\"]\n";
    poster.sizes = {{"4 x 3", "4 x 3 in", "2.00"}, {"7 x 5", "7 x 5 in", "6.00"}, {"24 x 18", "24 x 18 in", "30.00"}};
    std::string text = support::shop_text("Press Room", "", {poster});
    for (const auto& [size, process] :
         {std::pair{"4 x 3 in", "desk"}, std::pair{"7 x 5 in", "wide"}, std::pair{"24 x 18 in", "wide"}}) {
        const std::string line = std::string("finished = \"") + size + "\"\n";
        text.insert(text.find(line) + line.size(), std::string("process = \"") + process + "\"\n");
    }
    return text;
}

jobs::AnswerRequest answer(const std::string& cell, const std::string& second = "", const std::string& all_too = "",
                           const std::string& grey = "") {
    jobs::AnswerRequest request;
    request.sheet = 1;
    request.cell = cell;
    request.second = second;
    request.all_too = all_too;
    request.grey = grey;
    return request;
}
jobs::AnswerRequest on_screen_of(double candelas) {
    jobs::AnswerRequest request = answer("C");
    request.screen_candelas = candelas;
    return request;
}

void add_press_shop(const Workroom& room) {
    const std::string shop = press_shop();
    support::write_bytes(room.data() / "shops/press.toml", std::as_bytes(std::span(shop)));
}

plan::Wish wish_for_poster(const Words& words = {}) {
    Words all{{"shop", "press"}, {"medium", "poster"}, {"size", "24x18in"}};
    all.insert(all.end(), words.begin(), words.end());
    return Workroom::wish(all);
}

jobs::TestSheetRequest sheet_request(const Workroom& room, const fs::path& picture) {
    jobs::TestSheetRequest request;
    request.picture = picture;
    request.wish = wish_for_poster();
    request.to = room.out();
    return request;
}

/// One sheet, made once for all tests that only read it.
struct Prepared {
    Workroom room;
    fs::path picture;
    jobs::MadeTestSheet sheet;

    Prepared() {
        add_press_shop(room);
        picture = room.tiff("ridge.tif", scene({480, 360}, 3, 8));
        jobs::Context context = room.context();
        sheet = jobs::make_test_sheet(sheet_request(room, picture), context);
    }
};
const Prepared& prepared() {
    static const Prepared shared;
    return shared;
}

class test_prints : public testing::Test {
  protected:
    void SetUp() override {
        if (HANGTRUE_UNDER_TSAN) GTEST_SKIP() << "what works in threads here is what prints are made by";
    }
    test_prints() {
        if (HANGTRUE_UNDER_TSAN) return;
        // With the ledger that knows the sheet.
        fs::copy(prepared().room.data(), room.data(),
                 fs::copy_options::recursive | fs::copy_options::overwrite_existing);
    }

    jobs::TestSheetRequest request() const { return sheet_request(room, picture); }
    jobs::MadeTestSheet made(const jobs::TestSheetRequest& wanted) {
        jobs::Context context = room.context();
        return jobs::make_test_sheet(wanted, context);
    }
    std::string refusal(const jobs::TestSheetRequest& wanted) {
        return jobs::ended([&] { made(wanted); }).sentence;
    }
    jobs::TestStatus answered(const jobs::AnswerRequest& given) {
        jobs::Context context = room.context();
        return jobs::take_answer(given, context);
    }
    jobs::Ended answer_ended(const jobs::AnswerRequest& given) {
        return jobs::ended([&] { answered(given); });
    }
    std::string ledger_bytes() const {
        std::ifstream stream(room.data() / "ledger.sqlite", std::ios::binary);
        return {std::istreambuf_iterator<char>(stream), {}};
    }
    jobs::MadeFile print(const Words& words) {
        jobs::MakeRequest wanted;
        wanted.picture = picture;
        wanted.wish = wish_for_poster(words);
        wanted.to = room.out();
        wanted.replace = true;
        const jobs::MakeOutcome outcome = room.make(wanted);
        EXPECT_EQ(outcome.ending, jobs::Ending::done) << outcome.sentence;
        return outcome.files.at(0);
    }

    /// The sheet's patches as a shop would print them that makes all greys darker.
    std::string cgats(const trial::Sheet& sheet, double darker,
                      const std::string& columns = "SAMPLE_NAME LAB_L LAB_A LAB_B") {
        std::string rows;
        int count = 0;
        for (const trial::Patch& patch : sheet.patches) {
            const double weight = colour::shift_weight(patch.lab.lightness);
            rows += patch.name + " " + std::to_string(patch.lab.lightness * 0.95 - weight * darker) + " " +
                    std::to_string(patch.lab.a) + " " + std::to_string(patch.lab.b) + "\n";
            ++count;
        }
        return "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\n" + columns + "\nEND_DATA_FORMAT\nNUMBER_OF_SETS " +
               std::to_string(count) + "\nBEGIN_DATA\n" + rows + "END_DATA\n";
    }
    fs::path table(const std::string& text) {
        const fs::path file = room.pictures() / "values.txt";
        std::ofstream(file) << text;
        return file;
    }
    jobs::TestStatus measured(double darker) {
        jobs::Context context = room.context();
        return jobs::take_measurement(1, table(cgats(prepared().sheet.kept.sheet, darker)), context);
    }
    jobs::Ended measure_ended(const std::string& text) {
        jobs::Context context = room.context();
        return jobs::ended([&] { jobs::take_measurement(1, table(text), context); });
    }

    Workroom room;
    fs::path picture = HANGTRUE_UNDER_TSAN ? fs::path() : prepared().picture;
};

TEST_F(test_prints, a_sheet_is_a_print_file_of_the_shop_with_its_guide_and_is_kept) {
    const jobs::MadeTestSheet& sheet = prepared().sheet;
    ASSERT_EQ(sheet.ending, jobs::Ending::done) << sheet.sentence;
    EXPECT_EQ(sheet.kept.sheet.number, 1);
    const support::TestPicture file = read_tiff(sheet.file);
    EXPECT_EQ(file.size, (base::PixelSize{560, 400}));
    EXPECT_EQ(file.bits, 8);
    EXPECT_TRUE(fs::exists(sheet.guide));
    const ledger::TrialRecords records(room.data() / "ledger.sqlite", ledger::Access::look);
    EXPECT_TRUE(records.sheet(1));
    const ledger::Ledger ledger(room.data() / "ledger.sqlite", ledger::Access::look);
    EXPECT_THAT(ledger.rows(), SizeIs(1));
    jobs::Context context = room.context();
    const jobs::Verified verified = jobs::verify(sheet.file, std::nullopt, context);
    EXPECT_TRUE(verified.matches);
    EXPECT_TRUE(verified.samples_compared);
}

TEST_F(test_prints, a_cell_is_the_window_of_the_print_with_its_variant_sample_for_sample) {
    const jobs::MadeTestSheet& sheet = prepared().sheet;
    const support::TestPicture file = read_tiff(sheet.file);
    // The print itself, made with the cell's variant as its correction.
    plan::Plan plan = sheet.print;
    const trial::Cell& cell = sheet.kept.sheet.cells.at(2);
    plan.correction = {1, colour::correction_of(cell.variant)};
    jobs::MakeRequest wanted;
    wanted.picture = picture;
    wanted.plan = plan;
    wanted.to = room.out();
    wanted.anyway = true;
    const jobs::MakeOutcome outcome = room.make(wanted);
    ASSERT_EQ(outcome.ending, jobs::Ending::done) << outcome.sentence;
    const support::TestPicture print = read_tiff(outcome.files.at(0).file);
    EXPECT_EQ(part_of(file, cell.rect).samples, part_of(print, sheet.kept.sheet.window).samples);
}

TEST_F(test_prints, the_part_set_by_hand_is_where_the_cells_begin) {
    jobs::TestSheetRequest wanted = request();
    wanted.part = base::RealRect{100, 60, 0, 0};
    const trial::Sheet sheet = made(wanted).kept.sheet;
    // One pixel of the file is a quarter of one of the picture.
    EXPECT_NEAR(sheet.part.x, 100, 0.3);
    EXPECT_NEAR(sheet.part.y, 60, 0.3);
    wanted.part = base::RealRect{470, 60, 0, 0};
    expect_a_sentence(refusal(wanted), "--part");
}

TEST_F(test_prints, a_size_of_another_machine_or_that_is_not_sold_is_refused) {
    jobs::TestSheetRequest wanted = request();
    wanted.on = base::SizeMm{base::inches(4), base::inches(3)};
    EXPECT_THAT(refusal(wanted), AllOf(HasSubstr("printed by \"desk\""), HasSubstr("by \"wide\"")));
    wanted.on = base::SizeMm{base::inches(11), base::inches(9)};
    expect_a_sentence(refusal(wanted), "not offered in 11 x 9 in");
    EXPECT_THAT(room.names_made(), IsEmpty());
}

support::ShopMedium cut_to_order(const std::string& least, const std::string& most) {
    support::ShopMedium cloth;
    cloth.id = "poster";
    cloth.name = "Cloth";
    cloth.ppi = "{ least = 10, wanted = 80, most = 400 }";
    cloth.file = "formats = [\"tiff\"]\n";
    cloth.free_sizes = "least_side = \"" + least + "\"\nmost_short_side = \"" + most +
                       "\"\nmost_long_side = \"2 m\"\nprice_per_square_metre = 40.00\n";
    return cloth;
}

TEST_F(test_prints, a_medium_cut_to_order_gets_the_smallest_sheet_that_holds_five_cells) {
    const auto sell = [&](const support::ShopMedium& medium) {
        const std::string shop = support::shop_text("Press Room", "", {medium});
        support::write_bytes(room.data() / "shops/press.toml", std::as_bytes(std::span(shop)));
    };
    const auto inches = [](int width, int height) { return base::SizeMm{base::inches(width), base::inches(height)}; };
    sell(cut_to_order("100 mm", "1 m"));
    const jobs::MadeTestSheet small = made(request());
    EXPECT_EQ(small.plan.geometry.finished, inches(7, 5));
    EXPECT_EQ(small.costs, "0.90 EUR");  // 0.0226 square metres at 40.00.
    jobs::TestSheetRequest wanted = request();
    wanted.on = inches(14, 9);
    EXPECT_EQ(made(wanted).plan.geometry.finished, *wanted.on);

    support::ShopMedium with_margin = cut_to_order("100 mm", "1 m");
    with_margin.more = "safe_area = \"35 mm\"\n";  // 7 x 5 in have no room then.
    sell(with_margin);
    EXPECT_EQ(made(request()).plan.geometry.finished, inches(10, 8));

    sell(cut_to_order("45 cm", "1 m"));  // None of the common ones.
    EXPECT_EQ(made(request()).plan.geometry.finished, (base::SizeMm{{450}, {450}}));

    support::ShopMedium without_room = cut_to_order("100 mm", "61 cm");
    without_room.more = "safe_area = \"230 mm\"\n";
    sell(without_room);
    EXPECT_THAT(refusal(request()), AllOf(HasSubstr("24 x 18 in"), HasSubstr("no room for five cells")));
}

TEST_F(test_prints, a_mirrored_sheet_is_shown_as_it_prints_with_its_places_where_they_are) {
    std::string shop = press_shop();
    shop.insert(shop.find("[medium.file]"), "mirrored = true\n");
    support::write_bytes(room.data() / "shops/press.toml", std::as_bytes(std::span(shop)));
    const trial::KeptSheet kept = made(request()).kept;
    ASSERT_TRUE(kept.is_mirrored);
    jobs::Context context = room.context();
    const jobs::SheetView view = jobs::sheet_view(kept.sheet.number, 560, context);
    ASSERT_FALSE(view.shown.rgb.empty()) << view.sentence;
    EXPECT_EQ(view.cells.front().rect, kept.sheet.cells.front().rect);
    const auto shown = [&](const base::PixelRect& rect) {
        const int x = (rect.x + rect.width / 2) * view.shown.size.width / view.size.width;
        const int y = (rect.y + rect.height / 2) * view.shown.size.height / view.size.height;
        return view.shown.rgb.at(3 * static_cast<std::size_t>(y * view.shown.size.width + x));
    };
    for (const trial::Patch& patch : kept.sheet.patches) {
        if (patch.kind != trial::Patch::Kind::grey) continue;
        // Of sRGB codes; the reduced picture's pixels are a good part of a patch.
        EXPECT_NEAR(shown(patch.rect), 255 * patch.rgb[0], 6) << patch.name;
    }
}

TEST_F(test_prints, a_size_too_small_for_five_cells_is_refused_with_the_next_and_its_price) {
    std::string shop = press_shop();
    for (std::size_t at = 0; (at = shop.find("desk", at)) != std::string::npos;) shop.replace(at, 4, "wide");
    support::write_bytes(room.data() / "shops/press.toml", std::as_bytes(std::span(shop)));
    EXPECT_THAT(refusal(request()),
                AllOf(HasSubstr("no room for five cells"), HasSubstr("7 x 5 in"), HasSubstr("6.00")));
    EXPECT_THAT(room.names_made(), IsEmpty());
}

TEST_F(test_prints, a_sheet_that_breaks_a_rule_of_the_shops_files_is_refused) {
    std::string shop = press_shop();
    shop.insert(shop.find("tiff_bits"), "most_side_px = 300\n");
    support::write_bytes(room.data() / "shops/press.toml", std::as_bytes(std::span(shop)));
    jobs::TestSheetRequest wanted = request();
    // At 40 ppi the print has 280 px, its sheet on 24 x 18 in would have 960.
    wanted.wish.size = {base::inches(7), base::inches(5)};
    wanted.wish.ppi = base::PixelsPerInch{40};
    wanted.on = base::SizeMm{base::inches(24), base::inches(18)};
    wanted.anyway = true;
    const jobs::MadeTestSheet sheet = made(wanted);
    EXPECT_EQ(sheet.ending, jobs::Ending::refused);
    EXPECT_THAT(room.names_made(), IsEmpty());
}

TEST_F(test_prints, an_answer_teaches_and_a_later_one_to_the_same_sheet_takes_its_place) {
    const jobs::TestStatus dark = answered(answer("", "", "dark"));
    EXPECT_EQ(dark.learned.by, trial::Learned::By::eye);
    EXPECT_GT(dark.learned.shift.lightness, 3);
    EXPECT_THAT(dark.sentences, Contains(HasSubstr("too dark by")));
    const jobs::TestStatus light = answered(answer("", "", "light"));
    EXPECT_LT(light.learned.shift.lightness, -3);
    EXPECT_EQ(light.learned.sheets, 1);
    EXPECT_GT(light.correction_id, dark.correction_id);
}

TEST_F(test_prints, what_was_learned_goes_into_prints) {
    const jobs::TestStatus status = measured(6);
    ASSERT_TRUE(status.learned.is_applied);
    const jobs::MadeFile corrected = print({});
    const jobs::MadeFile plain = print({{"correction", "none"}});
    EXPECT_EQ(corrected.plan.correction.id, status.correction_id);
    EXPECT_EQ(plain.plan.correction.id, 0);
    EXPECT_NE(corrected.sha256, plain.sha256);
    const auto mean = [](const support::TestPicture& of) {
        double sum = 0;
        for (const std::uint16_t sample : of.samples) sum += sample;
        return sum / static_cast<double>(of.samples.size());
    };
    // Made anew under the same name: read the two in turn.
    const double without = mean(read_tiff(plain.file));
    const double with = mean(read_tiff(print({}).file));
    EXPECT_GT(with, without + 3);
    EXPECT_EQ(print({{"correction", std::to_string(status.correction_id)}}).sha256, corrected.sha256);
}

TEST_F(test_prints, an_old_plan_keeps_its_correction_and_a_sheet_cannot_be_made_again) {
    measured(8);
    const jobs::MadeFile before = print({});
    measured(4);
    const jobs::MadeFile after = print({});
    EXPECT_NE(before.plan.correction.id, after.plan.correction.id);
    jobs::MakeRequest again;
    again.picture = picture;
    again.plan = before.plan;
    again.to = room.out();
    again.replace = true;
    EXPECT_EQ(room.make(again).files.at(0).sha256, before.sha256);
    jobs::Context context = room.context();
    const jobs::Ended end = jobs::ended([&] { jobs::again({1, room.out(), std::nullopt, false, false}, context); });
    EXPECT_EQ(end.ending, jobs::Ending::bad_wish);
    expect_a_sentence(end.sentence, "test sheet 1");
}

TEST_F(test_prints, an_old_correction_is_a_finding) {
    measured(6);
    const auto names = [&](const Words& words) {
        std::vector<std::string> found;
        jobs::Context context = room.context();
        for (const auto& finding : jobs::check(picture, wish_for_poster(words), context).findings)
            found.push_back(finding.name);
        return found;
    };
    EXPECT_THAT(names({}), testing::Not(Contains("correction-old")));
    EXPECT_THAT(names({{"correction-since", "2026-03-15"}}), Contains("correction-old"));
    room.clock.time += std::chrono::days{400};
    EXPECT_THAT(names({}), Contains("correction-old"));
    EXPECT_THAT(names({{"correction", "none"}}), testing::Not(Contains("correction-old")));
}

TEST_F(test_prints, a_correction_judged_on_different_screens_is_a_finding) {
    const jobs::MadeTestSheet second = made(request());
    const auto found_with = [&](std::int64_t correction) {
        std::vector<std::string> found;
        jobs::Context context = room.context();
        const auto wish = wish_for_poster({{"correction", std::to_string(correction)}});
        for (const auto& finding : jobs::check(picture, wish, context).findings) found.push_back(finding.name);
        return found;
    };
    const auto on_second = [&](double candelas) {
        jobs::AnswerRequest other = on_screen_of(candelas);
        other.sheet = second.kept.sheet.number;
        return other;
    };
    answered(answer("C"));  // On a screen that nothing is told of.
    EXPECT_THAT(found_with(answered(on_screen_of(120)).correction_id), testing::Not(Contains("screen-changed")));
    EXPECT_THAT(found_with(answered(on_second(120)).correction_id), testing::Not(Contains("screen-changed")));
    EXPECT_THAT(found_with(answered(on_second(140)).correction_id), Contains("screen-changed"));
    // Judged again on the brighter screen, the first sheet's earlier answer counts no more.
    EXPECT_THAT(found_with(answered(on_screen_of(140)).correction_id), testing::Not(Contains("screen-changed")));
}

TEST_F(test_prints, another_screen_or_a_dim_light_is_remarked) {
    answered(on_screen_of(120));
    EXPECT_THAT(answered(on_screen_of(118)).remarks, IsEmpty());
    EXPECT_THAT(answered(on_screen_of(300)).remarks, Contains(HasSubstr("another screen")));
    jobs::AnswerRequest dim = on_screen_of(300);
    dim.light_lux = 100;
    EXPECT_THAT(answered(dim).remarks, Contains(HasSubstr("300 lux")));
}

TEST_F(test_prints, light_on_top_of_a_correction_judged_in_dim_light_is_refused_unless_passed) {
    jobs::AnswerRequest dim = on_screen_of(120);
    dim.light_lux = 100;
    const auto made_with = [&](const Words& words, bool anyway) {
        jobs::MakeRequest request = room.request(picture);
        request.wish = wish_for_poster(words);
        request.replace = true;
        request.anyway = anyway;
        return room.make(request);
    };
    const std::string by_eye = std::to_string(answered(dim).correction_id);
    const Words lit{{"correction", by_eye}, {"light", "80"}, {"enlarge", "filter"}};
    const jobs::MakeOutcome refused = made_with(lit, false);
    EXPECT_EQ(refused.ending, jobs::Ending::refused);
    expect_a_sentence(refused.sentence, "100 lux");
    EXPECT_EQ(made_with(lit, true).ending, jobs::Ending::done);
    // Not without the light, nor in one that changes nothing, nor without the correction.
    EXPECT_EQ(made_with({{"correction", by_eye}, {"enlarge", "filter"}}, false).ending, jobs::Ending::done);
    EXPECT_EQ(made_with({{"correction", by_eye}, {"light", "2000"}, {"enlarge", "filter"}}, false).ending,
              jobs::Ending::done);
    EXPECT_EQ(made_with({{"correction", "none"}, {"light", "80"}, {"enlarge", "filter"}}, false).ending,
              jobs::Ending::done);
    // What was measured holds nothing of the light.
    const std::string by_scan = std::to_string(measured(6).correction_id);
    EXPECT_EQ(made_with({{"correction", by_scan}, {"light", "80"}, {"enlarge", "filter"}}, false).ending,
              jobs::Ending::done);
}

TEST_F(test_prints, answers_that_cannot_be_are_refused_and_the_ledger_stays_as_it_was) {
    const std::string before = ledger_bytes();
    jobs::AnswerRequest of_another = answer("A");
    of_another.sheet = 7;
    const std::vector<std::pair<jobs::AnswerRequest, std::string>> cases{
        {answer("Z"), "no cell \"Z\""},         {answer("A,A"), "the same cell"},
        {answer("A", "A"), "the same cell"},    {answer("A,B", "C"), "Between two"},
        {answer("", "B"), "needs a best"},      {answer("", "", "ugly"), "\"ugly\""},
        {answer("A", "", "dark"), "--all-too"}, {answer("", "", "", "G99"), "no grey \"G99\""},
        {answer(""), "Say what you saw"},       {of_another, "no test sheet number 7"},
    };
    for (const auto& [given, about] : cases) {
        const jobs::Ended end = answer_ended(given);
        EXPECT_EQ(end.ending, jobs::Ending::bad_wish);
        expect_a_sentence(end.sentence, about);
    }
    jobs::AnswerRequest no_profile = answer("A");
    no_profile.screen_profile = picture;
    EXPECT_EQ(answer_ended(no_profile).ending, jobs::Ending::unreadable);
    EXPECT_TRUE(ledger_bytes() == before);
}

TEST_F(test_prints, an_instruments_table_teaches_the_tone) {
    const jobs::TestStatus status = measured(6);
    EXPECT_EQ(status.learned.by, trial::Learned::By::scan);
    EXPECT_TRUE(status.learned.is_applied);
    EXPECT_TRUE(status.is_enough);
    // Six darker than the paper's own 95 of 100: what is left of it, relative to the paper, is a little more.
    EXPECT_NEAR(status.learned.shift.lightness, 6, 1.5);
    EXPECT_NEAR(status.learned.shift.a, 0, 0.3);
}

TEST_F(test_prints, tables_that_say_nothing_are_refused_and_the_ledger_stays_as_it_was) {
    const jobs::MadeTestSheet& sheet = prepared().sheet;
    const std::string good = cgats(sheet.kept.sheet, 6);
    const std::string before = ledger_bytes();
    std::string others = good;
    for (std::size_t at = 0; (at = others.find("\nW", at)) != std::string::npos; ++at) others.replace(at, 2, "\nQ");
    const std::string few = [&] {
        std::string text = good;
        for (const char* name : {"W5 ", "W6 ", "W7 ", "W8 ", "W9 ", "W10 ", "W11 ", "W12 ", "W13 ", "W14 ", "W15 ",
                                 "W16 ", "W17 ", "W18 "}) {
            const std::size_t at = text.find("\n" + std::string(name));
            text.replace(at + 1, 1, "X");
        }
        return text;
    }();
    for (const auto& [text, about] :
         {std::pair{others, std::string("bare paper")}, std::pair{few, std::string("too few of the sheet's greys")},
          std::pair{cgats(sheet.kept.sheet, 6, "SAMPLE_NAME LAB_L LAB_A DENSITY"), std::string("LAB")},
          std::pair{std::string("no table"), std::string("values.txt")},
          std::pair{std::string(), std::string("values.txt")}}) {
        const jobs::Ended end = measure_ended(text);
        EXPECT_EQ(end.ending, jobs::Ending::unreadable);
        expect_a_sentence(end.sentence, about);
    }
    EXPECT_TRUE(ledger_bytes() == before);
}

TEST_F(test_prints, a_scan_of_something_else_is_refused_and_the_ledger_stays_as_it_was) {
    const std::string before = ledger_bytes();
    jobs::Context context = room.context();
    const jobs::Ended end = jobs::ended([&] { jobs::take_scan(1, picture, false, context); });
    EXPECT_EQ(end.ending, jobs::Ending::unreadable);
    expect_a_sentence(end.sentence, "ridge.tif");
    EXPECT_TRUE(ledger_bytes() == before);
}

TEST_F(test_prints, the_status_of_a_medium_begins_with_what_to_do) {
    jobs::Context context = room.context();
    EXPECT_THAT(jobs::test_status("press", "poster", "desk", context).sentences, Contains(HasSubstr("begin with one")));
    EXPECT_THAT(jobs::test_status("press", "poster", "wide", context).sentences,
                Contains(HasSubstr("answer or scan it")));
    EXPECT_THROW(jobs::test_status("press", "nothing", "", context), base::InvalidWish);
    const jobs::Ended several = jobs::ended([&] { jobs::test_status("press", "poster", "", context); });
    EXPECT_EQ(several.ending, jobs::Ending::bad_wish);
    EXPECT_THAT(several.sentence, AllOf(HasSubstr("\"desk\" or \"wide\""), HasSubstr("--process")));
}

TEST_F(test_prints, what_was_taken_back_counts_no_more_but_is_kept) {
    jobs::Context context = room.context();
    ASSERT_TRUE(measured(6).learned.is_applied);
    const auto answers = [&] {
        const ledger::TrialRecords records(room.data() / "ledger.sqlite", ledger::Access::look);
        return records.readings(records.sheet(1)->printed).size();
    };
    const std::size_t before = answers();
    const jobs::TestStatus status = jobs::withdraw_readings(1, context);
    EXPECT_EQ(status.learned.by, trial::Learned::By::nothing);
    EXPECT_EQ(print({}).plan.correction.id, 0);
    EXPECT_EQ(answers(), before + 1);
    EXPECT_THAT(jobs::ended([&] { jobs::withdraw_readings(1, context); }).sentence, HasSubstr("Nothing was read"));
    // What is read after counts again.
    EXPECT_TRUE(measured(6).learned.is_applied);
}

}  // namespace
}  // namespace hangtrue::jobs_test
