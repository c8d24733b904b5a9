// SPDX-License-Identifier: Apache-2.0
// The light that a print hangs in: told, answered in the file, compared in a photograph; and prints looked at as such.

#include "engine/jobs/light.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/jobs/room_light.h"
#include "engine/jobs/tickets.h"
#include "engine/ledger/ledger.h"
#include "engine/plan/plan_file.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using jobs::Ending;
using support::TestPicture;
using testing::AllOf;
using testing::HasSubstr;
using testing::IsEmpty;

jobs::LightReport report_of(Workroom& room, double lux, double candelas = 120) {
    jobs::Context context = room.context();
    jobs::LightRequest request;
    request.light.lux = lux;
    request.screen_candelas = candelas;
    return jobs::light_report(request, context);
}

// 80 lux on paper of 0.88 are 22.4 cd/m2 (Lambert): log2(120 / 22.4) = 2.42 stops under a screen of 120.
TEST(light_report, says_how_dark_a_dim_room_makes_the_print_and_what_the_change_gives_back) {
    Workroom room;
    const jobs::LightReport report = report_of(room, 80);
    EXPECT_NEAR(report.paper_candelas, 22.41, 0.01);
    EXPECT_NEAR(report.stops, 2.42, 0.005);
    EXPECT_NEAR(report.matching_lux, 428.4, 0.05);
    EXPECT_GT(report.brightness, 0.5);
    EXPECT_LT(report.brightness, 0.8);
    EXPECT_TRUE(report.light.changes());
    EXPECT_GT(report.middle_stops, 0.1);
    EXPECT_LT(report.middle_stops, 0.5);
    const jobs::ToneRange& shadows = report.ranges.front();
    EXPECT_LT(shadows.there, shadows.matched);
    EXPECT_GT(shadows.changed, shadows.there);
    double there = 0;
    double changed = 0;
    for (const jobs::ToneRange& range : report.ranges) {
        there += range.there;
        changed += range.changed;
    }
    EXPECT_NEAR(there, changed, 0.001 * there);  // Steps are moved, not made.
    EXPECT_THAT(report.sentences, Contains(HasSubstr("2.4 stops darker")));
}

TEST(light_report, of_a_print_booth_is_that_nothing_need_change) {
    Workroom room;
    const jobs::LightReport report = report_of(room, 2000);
    EXPECT_LT(report.stops, 0);
    EXPECT_FALSE(report.light.changes());
    EXPECT_EQ(report.middle_stops, 0);
    EXPECT_THAT(report.sentences, Contains(HasSubstr("would change nothing")));
}

TEST(light_report, goes_by_the_mediums_own_paper_and_refuses_light_that_no_room_has) {
    Workroom room;
    jobs::Context context = room.context();
    jobs::LightRequest request;
    request.light.lux = 80;
    request.shop = "test";
    request.medium = "canvas";
    const jobs::LightReport canvas = jobs::light_report(request, context);
    EXPECT_EQ(canvas.medium_name, "Canvas on bars");
    EXPECT_LT(canvas.density, report_of(room, 80).density);
    for (const double lux : {0.0, -5.0, 0.5, 1e6, std::nan("")}) {
        EXPECT_THROW(report_of(room, lux), base::InvalidWish) << lux;
    }
    EXPECT_THROW(report_of(room, 80, 3), base::InvalidWish);
}

TEST(light_in_a_print, lightens_the_middle_keeps_both_ends_and_is_told) {
    Workroom room;
    TestPicture greys = support::gradient({180, 120}, 3, 16);
    for (int x = 0; x < 180; ++x) {
        for (int y = 0; y < 120; ++y) {
            // Flat columns, black and white at the ends: nothing for sharpening or resampling to change.
            const auto code = static_cast<std::uint16_t>(x < 60 ? 0 : x < 120 ? 30000 : 65535);
            for (int channel = 0; channel < 3; ++channel) greys.at(x, y, channel) = code;
        }
    }
    const fs::path picture = room.tiff("greys.tif", greys);
    const Words plainly{{"sharpen", "off"}, {"bits", "16"}};
    Words lit = plainly;
    lit.emplace_back("light", "living-room");
    const jobs::MadeFile plain = room.made(picture, plainly);
    const TestPicture before = read_tiff(plain.file);
    const jobs::MadeFile made = room.made(picture, lit);
    const TestPicture after = read_tiff(made.file);
    EXPECT_EQ(after.at(10, 60, 0), 0);
    EXPECT_EQ(after.at(170, 60, 1), 65535);
    EXPECT_GT(after.at(90, 60, 1), before.at(90, 60, 1) + 500);
    EXPECT_EQ(made.plan.light.lux, 80);
    EXPECT_THAT(jobs::light_words(made.plan.light), AllOf(HasSubstr("80 lux"), HasSubstr("living room")));
    EXPECT_THAT(jobs::light_words(plain.plan.light), IsEmpty());

    // The ledger's plan holds the change, so that it is made again to the byte whatever the room's name means then.
    const ledger::Ledger ledger(room.data() / "ledger.sqlite", ledger::Access::look);
    const auto row = ledger.row(made.ledger_id);
    ASSERT_TRUE(row);
    const plan::Plan kept = plan::plan_from_text(row->plan_text, "the ledger");
    EXPECT_EQ(kept.light.tones, made.plan.light.tones);
    EXPECT_EQ(plan::plan_text(kept), row->plan_text);
    jobs::MakeRequest again = room.request(picture);
    again.plan = kept;
    again.replace = true;
    EXPECT_EQ(room.make(again).files.at(0).sha256, made.sha256);
}

TEST(light_in_a_print, that_is_off_or_bright_enough_changes_no_byte_and_the_plan_without_it_is_as_it_was) {
    Workroom room;
    const fs::path picture = room.tiff("ridge.tif", scene({300, 200}, 3, 8));
    const jobs::MadeFile plain = room.made(picture);
    EXPECT_EQ(room.made(picture, {{"light", "off"}}).sha256, plain.sha256);
    const jobs::MadeFile booth = room.made(picture, {{"light", "booth"}});
    EXPECT_EQ(booth.sha256, plain.sha256);
    EXPECT_THAT(jobs::light_words(booth.plan.light), HasSubstr("no tone is changed"));
    EXPECT_THAT(plan::plan_text(plain.plan), testing::Not(HasSubstr("[light]")));
    EXPECT_NE(room.made(picture, {{"light", "60"}}).sha256, plain.sha256);
}

/// What a camera makes of a desk: the screen left, the paper right, on a dark wall.
TestPicture desk(double screen, double paper, double power, double fall_off = 0.15) {
    TestPicture picture = support::gradient({1600, 1200}, 3, 8);
    std::mt19937_64 random(5);
    std::normal_distribution noise(0.0, 2.0);
    for (int y = 0; y < 1200; ++y) {
        for (int x = 0; x < 1600; ++x) {
            const bool in_screen = x > 150 && x < 760 && y > 250 && y < 900;
            const bool in_paper = x > 850 && x < 1400 && y > 300 && y < 950;
            double light = in_screen ? screen : in_paper ? paper : 0.01 * (1 + std::sin(0.05 * x) * std::cos(0.07 * y));
            light *= 1 - fall_off * (std::pow((x - 800) / 800.0, 2) + std::pow((y - 600) / 600.0, 2)) / 2;
            light = std::min(1.0, std::pow(light, power));
            const double encoded =
                255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055);
            for (int channel = 0; channel < 3; ++channel) {
                picture.at(x, y, channel) = static_cast<std::uint16_t>(std::clamp(encoded + noise(random), 0.0, 255.0));
            }
        }
    }
    return picture;
}

class light_photograph : public testing::Test {
  protected:
    void SetUp() override {
        if (HANGTRUE_UNDER_TSAN) GTEST_SKIP() << "one thread reads the photograph";
    }
    jobs::PhotographReport report(const TestPicture& picture, jobs::PhotographRequest request = {}) {
        request.photograph = room.pictures() / "desk.jpg";
        support::write_jpeg(request.photograph, picture, {.quality = 85});
        jobs::Context context = room.context();
        return jobs::photograph_report(request, context);
    }
    std::string refusal(const TestPicture& picture, const jobs::PhotographRequest& request = {}) {
        return jobs::ended([&] { report(picture, request); }).sentence;
    }
    Workroom room;
};

TEST_F(light_photograph, as_jpeg_tells_which_is_brighter_and_when_they_are_equal_by_any_curve) {
    for (const double power : {0.7, 1.0, 1.6}) {
        EXPECT_TRUE(report(desk(0.4, 0.4, power)).are_equal) << power;
        const jobs::PhotographReport bright_screen = report(desk(0.5, 0.2, power));
        EXPECT_FALSE(bright_screen.are_equal);
        // log2(0.5 / 0.2) = 1.32 stops.
        EXPECT_LT(bright_screen.least, 1.32);
        EXPECT_GT(bright_screen.most, 1.32);
        EXPECT_THAT(bright_screen.sentences, Contains(HasSubstr("another photograph")));
        EXPECT_LT(report(desk(0.2, 0.5, power)).stops, 0);
    }
}

TEST_F(light_photograph, with_areas_given_in_its_own_pixels_reads_those) {
    jobs::PhotographRequest request;
    request.screen = base::PixelRect{300, 400, 300, 300};
    request.paper = base::PixelRect{1000, 400, 300, 300};
    request.screen_candelas = 120;
    const jobs::PhotographReport given = report(desk(0.4, 0.2, 1, 0), request);
    EXPECT_EQ(given.screen, *request.screen);
    EXPECT_NEAR(given.stops, 1, 0.05);
    // Paper half as bright as 120 cd/m2, of reflectance 0.88: 60 pi / 0.88 = 214 lux.
    ASSERT_TRUE(given.lux);
    EXPECT_NEAR(*given.lux, 214, 8);
    EXPECT_LT(given.least_lux, 214);
    EXPECT_GT(given.most_lux, 214);
    const jobs::PhotographReport found = report(desk(0.4, 0.2, 1, 0));
    EXPECT_NEAR(found.stops, given.stops, 0.02);
    EXPECT_NEAR(found.screen.x, 151, 40);  // Found at a smaller scale, whole blocks inside.
}

TEST_F(light_photograph, that_cannot_tell_is_refused_in_a_sentence) {
    EXPECT_THAT(refusal(desk(3, 0.3, 1)), HasSubstr("less exposure"));
    EXPECT_THAT(refusal(scene({400, 300}, 3, 8)), HasSubstr("--screen-at"));
    jobs::PhotographRequest half;
    half.screen = base::PixelRect{0, 0, 100, 100};
    EXPECT_THAT(refusal(desk(0.4, 0.4, 1), half), HasSubstr("--paper-at"));
    jobs::PhotographRequest none;
    none.photograph = room.pictures() / "none.jpg";
    jobs::Context context = room.context();
    EXPECT_EQ(jobs::ended([&] { jobs::photograph_report(none, context); }).ending, Ending::unreadable);
}

TEST_F(light_photograph, can_be_stopped) {
    room.progress().cancel();
    jobs::PhotographRequest request;
    request.photograph = room.tiff("desk.tif", desk(0.4, 0.4, 1));
    jobs::Context context = room.context();
    EXPECT_EQ(jobs::ended([&] { jobs::photograph_report(request, context); }).ending, Ending::cancelled);
}

class view_as_print : public testing::Test {
  protected:
    view_as_print() {
        support::ShopMedium grey = support::plain_paper("grey");
        grey.name = "Grey paper";
        grey.more = "print_profile = \"grey.icc\"\n";
        const std::string shop = support::shop_text("Grey Press", "", {grey, support::plain_paper("paper")});
        support::write_bytes(room.data() / "shops/press.toml", std::as_bytes(std::span(shop)));
        // A printer without colour: what it shows is told apart at once (Debian's icc-profiles-free).
        fs::copy_file("/usr/share/color/icc/Gray.icc", room.data() / "shops/grey.icc");
        picture = room.tiff("ridge.tif", scene({180, 120}, 3, 8));
    }
    jobs::Viewed viewed(const std::string& medium, std::optional<jobs::ProofWish> as_print, double scale = 1) {
        jobs::ViewRequest request;
        request.picture = picture;
        request.wish = Workroom::wish({{"shop", "press"}, {"medium", medium}, {"bits", "8"}});
        request.window = {0, 0, 180, 120};
        request.scale = scale;
        request.as_print = as_print;
        request.out = room.root() / "view.png";
        request.replace = true;
        jobs::Context context = room.context();
        return jobs::view(request, context);
    }
    TestPicture shown() const { return read_png(room.root() / "view.png"); }
    Workroom room;
    fs::path picture;
};

TEST_F(view_as_print, goes_through_the_mediums_print_profile) {
    const jobs::Viewed view = viewed("grey", jobs::ProofWish{});
    ASSERT_TRUE(view.as_print);
    EXPECT_EQ(view.as_print->basis, jobs::ProofBasis::profile);
    const TestPicture print = shown();
    int coloured = 0;
    for (int x = 0; x < 180; ++x) {
        const int red = print.at(x, 40, 0);
        if (std::abs(red - print.at(x, 40, 1)) > 2 || std::abs(red - print.at(x, 40, 2)) > 2) ++coloured;
    }
    EXPECT_EQ(coloured, 0);
    EXPECT_FALSE(fs::exists(room.data() / "ledger.sqlite"));
}

TEST_F(view_as_print, hatches_what_the_print_cannot_hold_and_says_how_much) {
    jobs::ProofWish hatching;
    hatching.hatch = true;
    const jobs::Viewed hatched = viewed("grey", hatching);
    const TestPicture with = shown();
    EXPECT_TRUE(hatched.as_print->hatched);
    EXPECT_GT(hatched.as_print->outside_share, 0.3);  // All but the greys, for a printer without colour.
    viewed("grey", jobs::ProofWish{});
    const TestPicture without = shown();
    int lines = 0;
    for (int x = 0; x < 180; ++x) lines += with.at(x, 60, 0) != without.at(x, 60, 0) ? 1 : 0;
    EXPECT_GT(lines, 10);
    EXPECT_LT(lines, 60);  // Two in eight.
}

TEST_F(view_as_print, of_a_medium_nobody_measured_guesses_its_paper_and_says_so) {
    const jobs::Viewed view = viewed("paper", jobs::ProofWish{}, 0.5);
    ASSERT_TRUE(view.as_print);
    EXPECT_EQ(view.as_print->basis, jobs::ProofBasis::assumed);
    EXPECT_THAT(view.as_print->sentences, Contains(HasSubstr("guessed")));
    EXPECT_NEAR(view.as_print->paper.lightness, 95, 1);  // Of reflectance 0.88: L* 95.2.
    EXPECT_EQ(shown().size, (base::PixelSize{90, 60}));
    jobs::ProofWish neither;
    neither.paper_white = false;
    neither.paper_black = false;
    neither.hatch = true;
    EXPECT_FALSE(viewed("paper", neither).as_print->hatched);
    const TestPicture plain_proof = shown();
    viewed("paper", std::nullopt);
    const TestPicture file = shown();
    // Without paper and black, and no bias known, the print is the file: a cube's error is under one code.
    for (std::size_t i = 0; i < file.samples.size(); ++i) ASSERT_NEAR(plain_proof.samples[i], file.samples[i], 1);
}

TEST_F(view_as_print, with_a_profile_that_is_missing_or_none_is_one_clear_sentence) {
    fs::remove(room.data() / "shops/grey.icc");
    const jobs::Ended missing = jobs::ended([&] { viewed("grey", jobs::ProofWish{}); });
    EXPECT_EQ(missing.ending, Ending::unreadable);
    expect_a_sentence(missing.sentence, "grey.icc");
    const std::string no_profile(500, 'x');
    support::write_bytes(room.data() / "shops/grey.icc", std::as_bytes(std::span(no_profile)));
    const jobs::Ended broken = jobs::ended([&] { viewed("grey", jobs::ProofWish{}); });
    EXPECT_EQ(broken.ending, Ending::unreadable);
    expect_a_sentence(broken.sentence, "grey.icc");
    EXPECT_NO_THROW(viewed("grey", std::nullopt));
}

TEST(room_light, dims_wall_and_print_as_the_eye_sees_them_and_says_so) {
    Workroom room;
    jobs::Context context = room.context();
    const jobs::WishWords words{{"shop", "test"}, {"medium", "paper"}, {"size", "3x2in"}};
    const jobs::RoomLight dim = jobs::room_light("80", words, context);
    EXPECT_THAT(dim.sentence, HasSubstr("80 lux"));
    // White looks as bright as the report of that room says: between half and four fifths of the screen's, which is
    // less light than that (J goes with the square of Q).
    const double brightness = report_of(room, 80).brightness;
    EXPECT_THAT(dim.sentence, HasSubstr(std::to_string(std::lround(100 * brightness)) + " %"));
    EXPECT_LT(dim.wall[255], 255);
    EXPECT_GT(dim.wall[255], 110);
    EXPECT_EQ(dim.print[255], dim.wall[255]);
    EXPECT_EQ(dim.wall[0], 0);
    EXPECT_GT(dim.print[0], 0);  // The print's black throws light back.
    EXPECT_TRUE(std::is_sorted(dim.print.begin(), dim.print.end()));
    EXPECT_TRUE(std::is_sorted(dim.wall.begin(), dim.wall.end()));
    // The dimmer the room, the darker; where print and screen match, nothing is darker but by the print's own black.
    EXPECT_LT(jobs::room_light("museum", words, context).wall[255], dim.wall[255]);
    const jobs::RoomLight matched = jobs::room_light("428", words, context);
    EXPECT_GE(matched.wall[255], 254);
    EXPECT_NEAR(matched.print[128], 128, 2);
    EXPECT_THAT(jobs::room_light("booth", words, context).sentence, HasSubstr("brighter than this screen"));
    EXPECT_EQ(jobs::room_light("booth", words, context).wall[255], 255);
}

TEST(room_light, shows_the_tones_that_the_order_has_changed) {
    Workroom room;
    jobs::Context context = room.context();
    jobs::WishWords words{{"shop", "test"}, {"medium", "paper"}, {"size", "3x2in"}};
    const jobs::RoomLight as_it_is = jobs::room_light("living-room", words, context);
    words["light"] = "living-room";
    const jobs::RoomLight changed = jobs::room_light("living-room", words, context);
    EXPECT_GT(changed.print[128], as_it_is.print[128] + 3);
    EXPECT_EQ(changed.wall, as_it_is.wall);
    EXPECT_EQ(changed.print[255], as_it_is.print[255]);
    EXPECT_THAT(changed.sentence, HasSubstr("tones are changed"));
    EXPECT_THAT(as_it_is.sentence, testing::Not(HasSubstr("changed")));
    // A medium that is not known is looked at as usual paper; wrong words are said to be wrong.
    EXPECT_GT(jobs::room_light("80", {}, context).wall[255], 100);
    EXPECT_THROW(jobs::room_light("candle", words, context), base::InvalidWish);
}

}  // namespace
}  // namespace hangtrue::jobs_test
