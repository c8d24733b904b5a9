// SPDX-License-Identifier: Apache-2.0
// Prints and files that the network enlarges: sizes, windows, threads, records, weights that are not what they were.
// The networks here have random weights: what they make of a picture is no picture, but it is made all the same way.

#include <fstream>

#include "engine/jobs/opened_picture.h"
#include "engine/jobs/screen.h"
#include "engine/plan/plan_file.h"
#include "tests/jobs/workroom.h"
#include "tests/support/made_weights.h"
#include "tests/support/sanitized.h"

namespace hangtrue::jobs_test {
namespace {

using testing::AllOf;
using testing::EndsWith;
using testing::HasSubstr;
using testing::IsEmpty;

class with_networks : public testing::Test {
  protected:
    with_networks() {
        fs::create_directory(room.models());
        put_weights("quick", 1);
        put_weights("fine", 2);
    }
    void put_weights(const std::string& name, std::uint64_t seed) {
        support::made_weights(8, 1, seed).write(room.models() / (name + ".weights"));
    }
    jobs::Enlarged enlarged(const fs::path& in, double factor, plan::Enlarging by) {
        jobs::Context context = room.context();
        return jobs::enlarge({.in = in, .out = out, .factor = factor, .by = by, .replace = true}, context);
    }
    jobs::Ended enlarge(const fs::path& in, double factor, plan::Enlarging by) {
        jobs::Context context = room.context();
        return jobs::ended(
            [&] { jobs::enlarge({.in = in, .out = out, .factor = factor, .by = by, .replace = true}, context); });
    }

    Workroom room;
    fs::path out = room.root() / "out.png";
    fs::path picture = room.tiff("ridge.tif", scene({70, 46}, 3, 8));
};

TEST_F(with_networks, enlarging_gives_the_exact_size_of_any_picture_by_any_factor) {
    for (const base::PixelSize size : {base::PixelSize{1, 1}, {1, 9}, {7, 5}, {70, 46}}) {
        const fs::path small = room.tiff("small.tif", scene(size, 3, 16));
        for (const double factor : {1.0, 1.37, 2.0, 3.1, 6.0}) {
            const jobs::Ended end = enlarge(small, factor, plan::Enlarging::quick);
            ASSERT_EQ(end.ending, jobs::Ending::done) << end.sentence;
            const auto side = [factor](int of) { return static_cast<int>(std::lround(of * factor)); };
            EXPECT_EQ(read_png(out).size, (base::PixelSize{side(size.width), side(size.height)})) << factor;
        }
    }
}

TEST_F(with_networks, black_and_white_pictures_stay_grey) {
    const fs::path grey = room.tiff("grey.tif", scene({40, 30}, 1, 8));
    ASSERT_EQ(enlarge(grey, 2, plan::Enlarging::fine).ending, jobs::Ending::done);
    EXPECT_EQ(read_png(out).channels, 1);
}

TEST_F(with_networks, prints_are_the_same_for_any_window_and_number_of_threads) {
    const Words words{{"enlarge", "fine"}, {"bits", "8"}, {"size", "6x4in"}};
    const jobs::MadeFile made = room.made(picture, words, true, 1);
    ASSERT_EQ(made.plan.network.name, "fine");
    ASSERT_EQ(made.plan.network.doublings, 2) << "360 pixels from 70";
    const support::TestPicture whole = read_tiff(made.file);
    const jobs::MadeFile again = room.made(picture, words, true, 4);
    EXPECT_TRUE(read_tiff(again.file) == whole);
    jobs::Context context = room.context();
    for (const base::PixelRect window : {base::PixelRect{0, 0, 31, 17}, {100, 60, 80, 60}, {77, 3, 1, 1}}) {
        jobs::ViewRequest request;
        request.picture = picture;
        request.wish = Workroom::wish(words);
        request.window = window;
        request.out = out;
        request.replace = true;
        jobs::view(request, context);
        EXPECT_TRUE(read_png(out) == part_of(whole, window)) << window.x << ' ' << window.y;
    }
}

TEST_F(with_networks, prints_can_be_made_again_and_differ_from_the_filters) {
    const jobs::MadeFile filtered = room.made(picture, {{"enlarge", "filter"}});
    EXPECT_EQ(filtered.plan.network.doublings, 0);
    const support::TestPicture by_filter = read_tiff(filtered.file);
    const jobs::MadeFile made = room.made(picture, {{"enlarge", "quick"}});
    EXPECT_FALSE(read_tiff(made.file) == by_filter);
    jobs::Context context = room.context();
    EXPECT_EQ(jobs::again({.id = made.ledger_id, .to = room.out(), .picture = {}, .replace = true}, context).sameness,
              jobs::Sameness::same_file);
}

TEST_F(with_networks, prints_say_how_like_the_picture_the_enlarged_one_is) {
    const jobs::MadeFile made = room.made(picture, {{"enlarge", "quick"}}, true, 1);
    ASSERT_TRUE(made.likeness);
    // 70 x 46, of which 3 x 2 in shows columns 1 to 69: three by two whole blocks.
    EXPECT_EQ(made.likeness->pixels, 6 * 256);
    // The scene's noise is put back: all but what four steps leave of it.
    EXPECT_LT(made.likeness->mean, made.plan.picture.noise.sd_8bit);
    EXPECT_GT(made.likeness->mean, 0);
    EXPECT_THAT(jobs::enlarging_words(made.plan, made.likeness),
                AllOf(HasSubstr("\"quick\""), HasSubstr("Made small again"), HasSubstr("grain"), EndsWith(".")));
    EXPECT_EQ(room.made(picture, {{"enlarge", "quick"}}, true, 3).likeness->mean, made.likeness->mean);
    EXPECT_EQ(room.made(picture, {{"enlarge", "quick"}, {"format", "jpeg"}}).likeness->mean, made.likeness->mean);
    jobs::Context context = room.context();
    const auto again =
        jobs::again({.id = made.ledger_id, .to = room.out(), .picture = {}, .replace = true}, context).likeness;
    ASSERT_TRUE(again);
    EXPECT_EQ(again->mean, made.likeness->mean);
    EXPECT_EQ(again->largest_block, made.likeness->largest_block);

    const jobs::MadeFile filtered = room.made(picture, {{"enlarge", "filter"}});
    EXPECT_FALSE(filtered.likeness);
    EXPECT_EQ(jobs::enlarging_words(filtered.plan, filtered.likeness), "");
}

TEST_F(with_networks, enlarging_alone_says_how_like_the_picture_it_is) {
    const auto by_network = enlarged(picture, 1.5, plan::Enlarging::fine);
    EXPECT_EQ(by_network.network.name, "fine");
    ASSERT_TRUE(by_network.likeness);
    EXPECT_EQ(by_network.likeness->pixels, 8 * 256);
    EXPECT_FALSE(enlarged(picture, 1.5, plan::Enlarging::filter).likeness);
    EXPECT_FALSE(enlarged(room.tiff("dot.tif", scene({7, 5}, 3, 8)), 2, plan::Enlarging::fine).likeness);
}

TEST_F(with_networks, grain_is_kept_unless_it_shall_be_calm) {
    const jobs::MadeFile kept = room.made(picture, {{"enlarge", "quick"}});
    EXPECT_EQ(kept.plan.network.grain, enlarge::Grain::keep);
    const support::TestPicture with_grain = read_tiff(kept.file);
    const jobs::MadeFile calm = room.made(picture, {{"enlarge", "quick"}, {"grain", "calm"}});
    EXPECT_EQ(calm.plan.network.grain, enlarge::Grain::calm);
    EXPECT_FALSE(read_tiff(calm.file) == with_grain);
}

TEST_F(with_networks, plans_say_which_weights_and_what_the_network_is_told) {
    const plan::Plan plan = room.made(picture, {{"enlarge", "quick"}}).plan;
    const plan::Plan read = plan::plan_from_text(plan::plan_text(plan), "plan.toml");
    EXPECT_EQ(read.network.name, "quick");
    EXPECT_EQ(read.network.weights, plan.network.weights);
    EXPECT_EQ(read.network.doublings, plan.network.doublings);
    EXPECT_EQ(read.network.measures, plan.network.measures);
    EXPECT_EQ(read.network.grain, plan.network.grain);
    EXPECT_GT(plan.network.measures.noise_sd, 0) << "the scene is noisy";
}

TEST_F(with_networks, nothing_is_made_without_the_weights_but_by_the_filter) {
    fs::remove(room.models() / "quick.weights");
    const jobs::MakeOutcome outcome = room.make(room.request(picture, {{"enlarge", "quick"}}));
    EXPECT_EQ(outcome.ending, jobs::Ending::unreadable);
    expect_a_sentence(outcome.sentence, "quick.weights");
    EXPECT_THAT(room.names_made(), IsEmpty());
    const jobs::Ended end = enlarge(picture, 2, plan::Enlarging::quick);
    EXPECT_EQ(end.ending, jobs::Ending::unreadable);
    expect_a_sentence(end.sentence, "quick.weights");
    EXPECT_FALSE(fs::exists(out));
    EXPECT_EQ(enlarge(picture, 2, plan::Enlarging::filter).ending, jobs::Ending::done);
}

TEST_F(with_networks, auto_is_fine_from_1_1_times_on_and_needs_its_weights_there_alone) {
    EXPECT_EQ(enlarged(picture, 1.3, plan::Enlarging::automatic).network.name, "fine");
    EXPECT_EQ(enlarged(picture, 1.1, plan::Enlarging::automatic).network.name, "fine");
    EXPECT_EQ(enlarged(picture, 1.09, plan::Enlarging::automatic).network.doublings, 0);
    EXPECT_EQ(enlarged(picture, 1.05, plan::Enlarging::fine).network.name, "fine") << "asked for";
    EXPECT_EQ(enlarged(picture, 4, plan::Enlarging::automatic).network.doublings, 1);
    EXPECT_EQ(enlarged(picture, 4.1, plan::Enlarging::automatic).network.doublings, 2);
    EXPECT_EQ(room.made(picture, {{"enlarge", "auto"}}).plan.network.name, "fine");
    fs::remove(room.models() / "fine.weights");
    const jobs::Ended end = enlarge(picture, 1.3, plan::Enlarging::automatic);
    EXPECT_EQ(end.ending, jobs::Ending::unreadable);
    expect_a_sentence(end.sentence, "fine.weights");
    EXPECT_EQ(enlarge(picture, 1.05, plan::Enlarging::automatic).ending, jobs::Ending::done);
    EXPECT_EQ(enlarge(picture, 0.5, plan::Enlarging::automatic).ending, jobs::Ending::done);
}

TEST_F(with_networks, an_earlier_way_of_using_them_is_said) {
    const plan::Plan plan = room.made(picture, {{"enlarge", "quick"}}).plan;
    std::string text = plan::plan_text(plan);
    const std::string version = "[network]\nversion = " + std::to_string(plan::PlannedNetwork::newest_version) + "\n";
    const std::size_t at = text.find(version);
    ASSERT_NE(at, std::string::npos) << text;
    text.replace(at, version.size(), "[network]\n");  // As the first version wrote it.
    jobs::MakeRequest request = room.request(picture);
    request.plan = plan::plan_from_text(text, "earlier.toml");
    EXPECT_EQ(request.plan->network.version, 1);
    request.replace = true;
    const jobs::MakeOutcome outcome = room.make(request);
    ASSERT_EQ(outcome.ending, jobs::Ending::done) << outcome.sentence;
    EXPECT_THAT(outcome.files.at(0).remarks, testing::Contains(HasSubstr("use of the network")));
    EXPECT_EQ(outcome.files.at(0).plan.network.version, plan::PlannedNetwork::newest_version);
}

TEST_F(with_networks, a_trial_is_remembered_by_making_and_believed_by_looking) {
    const Words words{{"enlarge", "quick"}};
    const plan::PlannedNetwork made = room.made(picture, words).plan.network;
    const base::Sha256 content = room.made(picture, words).plan.picture.content;
    jobs::Context context = room.context();
    std::string kept;
    {
        ledger::Ledger ledger(jobs::ledger_file(context));
        kept = ledger.trial(content, made.weights, 1).value();
        const std::size_t at = kept.find("undone_blur_px");
        ASSERT_NE(at, std::string::npos) << kept;
        ledger.keep_trial(content, made.weights, 1, kept.substr(0, at) + "undone_blur_px = 1.25\n");
    }
    const auto undone_now = [&] {
        return jobs::check(picture, Workroom::wish(words), context).plans.at(0).network.measures.undone_blur_px;
    };
    EXPECT_EQ(undone_now(), 1.25);
    // Of a picture of which the network was told otherwise, it says nothing.
    {
        ledger::Ledger ledger(jobs::ledger_file(context));
        ledger.keep_trial(content, made.weights, 1,
                          "format = 1\ntold_noise_sd = 0.5\ntold_blur_px = 0.5\ntold_coding = 0.0\n"
                          "undone_blur_px = 1.25\n");
    }
    EXPECT_EQ(undone_now(), made.measures.undone_blur_px);
}

TEST_F(with_networks, a_print_is_not_made_again_with_other_weights) {
    const jobs::MadeFile made = room.made(picture, {{"enlarge", "quick"}});
    put_weights("quick", 7);
    fs::create_directory(room.root() / "again");
    jobs::Context context = room.context();
    const jobs::Ended end =
        jobs::ended([&] { jobs::again({.id = made.ledger_id, .to = room.root() / "again", .picture = {}}, context); });
    EXPECT_EQ(end.ending, jobs::Ending::unreadable);
    expect_a_sentence(end.sentence, "quick");
    EXPECT_TRUE(fs::is_empty(room.root() / "again"));
}

TEST_F(with_networks, a_first_sight_is_what_the_filter_makes) {
    jobs::Context context = room.context();
    jobs::PictureAtHand at_hand(picture, context);
    const auto print_by = [&](const char* way) {
        return at_hand.settled(Workroom::wish({{"enlarge", way}, {"sharpen", "off"}, {"size", "6x4in"}}), context);
    };
    const auto window_of = [&](const jobs::SettledPrint& print) {
        return at_hand.window(print, 1, {20, 10, 90, 70}, 1, context).samples;
    };
    const jobs::SettledPrint print = print_by("fine");
    ASSERT_GT(print.plans.at(0).network.doublings, 0);
    EXPECT_TRUE(window_of(jobs::by_filter(print)) == window_of(print_by("filter")));
    EXPECT_FALSE(window_of(jobs::by_filter(print)) == window_of(print));
}

// The networks that are shipped: what sharpening adds to what they have made crisp already.
TEST(prints_of_shipped_networks, sharpening_adds_no_more_overshoot_to_edges_than_its_limit) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    Workroom room;
    fs::create_directory(room.models());
    for (const char* name : {"fine.weights", "quick.weights"}) {
        fs::copy_file(fs::path(HANGTRUE_SOURCE_DIR "/models") / name, room.models() / name);
    }
    // A slanted edge from a quarter to three quarters of white, as crisp as pixels are.
    support::TestPicture edge{{110, 74}, 3, 16, {}};
    for (int y = 0; y < 74; ++y) {
        for (int x = 0; x < 110; ++x) {
            const double value = 0.25 + 0.5 * std::clamp(x + 0.15 * y - 60, 0.0, 1.0);
            edge.samples.insert(edge.samples.end(), 3, static_cast<std::uint16_t>(std::lround(65535 * value)));
        }
    }
    const fs::path picture = room.tiff("edge.tif", edge);
    struct Range {
        double least = 1, most = 0;
    };
    const auto range_of = [&](const std::string& way, const std::string& sharpening) {
        const jobs::MadeFile made = room.made(picture, {{"enlarge", way}, {"sharpen", sharpening}});
        EXPECT_EQ(made.plan.sharpening.filter.is_off(), sharpening == "off");
        const support::TestPicture print = read_tiff(made.file);
        Range range;
        for (const std::uint16_t sample : print.samples) {
            range.least = std::min(range.least, static_cast<double>(sample) / print.white());
            range.most = std::max(range.most, static_cast<double>(sample) / print.white());
        }
        return range;
    };
    const Range by_filter = range_of("filter", "auto");
    for (const char* way : {"quick", "fine"}) {
        const Range plain = range_of(way, "off");
        const Range sharpened = range_of(way, "auto");
        // The limit of overshoot is 0.04 beyond what the neighbours have already, for the filter and for a network.
        constexpr double limit = 0.04 + 1.0 / 255;  // Dithered to codes.
        EXPECT_GT(sharpened.least, plain.least - limit) << way;
        EXPECT_LT(sharpened.most, plain.most + limit) << way;
        // A crisper edge rings more when it is brought to its exact size: by up to 5 % of its height here.
        EXPECT_GT(sharpened.least, by_filter.least - 0.08 * 0.5) << way;
        EXPECT_LT(sharpened.most, by_filter.most + 0.08 * 0.5) << way;
    }
}

}  // namespace
}  // namespace hangtrue::jobs_test
