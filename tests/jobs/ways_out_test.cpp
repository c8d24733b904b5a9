// SPDX-License-Identifier: Apache-2.0
/// Each way out that a finding offers, taken: the finding must be gone.

#include "engine/jobs/ways_out.h"

#include <gmock/gmock.h>

#include "engine/jobs/screen.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

/// Sizes of 3:2 and two others, up to 36 x 24 in; `ppi` and `file` are the medium's.
std::string shop_of_sizes(const std::string& ppi, const std::string& file, const std::string& more = {}) {
    support::ShopMedium paper = support::plain_paper("paper");
    paper.ppi = ppi;
    paper.file = file;
    paper.more += more;
    paper.sizes.clear();
    for (const char* size :
         {"3 x 2", "6 x 4", "9 x 6", "12 x 8", "18 x 12", "24 x 16", "30 x 20", "36 x 24", "12 x 12", "24 x 8"}) {
        paper.sizes.push_back({size, std::string(size) + " in", "9.00"});
    }
    return support::shop_text("Test Prints", "", {paper});
}

const std::string any_file = "formats = [\"tiff\", \"jpeg\"]\ntiff_bits = [8, 16]\n";

class ways_out : public testing::Test {
  protected:
    void SetUp() override {
        if (HANGTRUE_UNDER_TSAN) GTEST_SKIP() << "plans are settled again and again, by what settles every plan";
    }
    Workroom room;

    void sells(const std::string& text) const {
        support::write_bytes(room.data() / "shops/test.toml", std::as_bytes(std::span(text)));
    }
    std::vector<checks::Finding> found(const fs::path& picture, const plan::Wish& wish) {
        jobs::Context context = room.context();
        jobs::PictureAtHand at_hand(picture, context);
        return at_hand.settled(wish, context).findings;
    }
    /// The option of that finding, which must be there; taken, it must be gone.
    std::string option(const std::string& name, const fs::path& picture, const Words& words) {
        plan::Wish wish = Workroom::wish(words);
        std::string result = "not found";
        for (const auto& finding : found(picture, wish)) {
            if (finding.name == name) result = finding.option;
        }
        for (const auto& [key, value] : jobs::words_of_option(result)) jobs::set_wish_word(wish, key, value);
        if (result.starts_with("--")) {
            for (const auto& left : found(picture, wish)) EXPECT_NE(left.name, name) << result;
        }
        return result;
    }
};

TEST_F(ways_out, of_too_few_pixels_is_the_largest_size_at_which_they_do) {
    // 600 px on 36 in are 17 ppi. Seen from as near as each size is, the pixels show until the medium's least is met.
    sells(shop_of_sizes("{ least = 40, wanted = 60, most = 400 }", any_file));
    const auto picture = room.tiff("picture.tif", scene({600, 400}, 3, 16));
    EXPECT_EQ(option("too-few-pixels", picture, {{"size", "36x24in"}}), "--size 12x8in");
    // From farther away a larger one does: 600 px on 24 in are resolved from within 3.5 m.
    EXPECT_EQ(option("too-few-pixels", picture, {{"size", "36x24in"}, {"distance", "4m"}}), "--size 24x16in");
    sells(shop_of_sizes("{ least = 300, wanted = 300, most = 400 }", any_file));
    EXPECT_EQ(option("too-few-pixels", picture, {{"size", "3x2in"}, {"distance", "20cm"}}), "");
}

TEST_F(ways_out, of_fewer_pixels_than_wanted_is_a_size_that_has_them) {
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 400 }", any_file));
    const auto picture = room.tiff("picture.tif", scene({600, 400}, 3, 16));
    EXPECT_EQ(option("fewer-pixels-than-wanted", picture, {{"size", "18x12in"}, {"distance", "9m"}}), "--size 9x6in");
}

TEST_F(ways_out, of_much_enlarging_is_a_size_that_needs_less) {
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 400 }", any_file));
    const auto picture = room.tiff("picture.tif", scene({600, 400}, 3, 16));
    EXPECT_EQ(option("enlarged-much", picture, {{"size", "30x20in"}}), "--size 18x12in");
    // As little by panels: each is of the size, all together show the picture.
    EXPECT_EQ(option("enlarged-much", picture, {{"size", "18x12in"}, {"panels", "3"}}), "--size 9x6in");
}

TEST_F(ways_out, of_another_shape_is_the_nearest_size_that_keeps_the_picture) {
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 400 }", any_file));
    const auto picture = room.tiff("picture.tif", scene({600, 400}, 3, 16));
    EXPECT_EQ(option("shape-against-size", picture, {{"size", "24x8in"}}), "--size 18x12in");
}

TEST_F(ways_out, of_a_file_that_the_shop_does_not_take_is_a_smaller_print_where_nothing_less_helps) {
    const auto picture = room.tiff("picture.tif", scene({600, 400}, 3, 16));
    const std::string tiff = "formats = [\"tiff\"]\ntiff_bits = [16]\ntiff_compressions = [\"none\"]\n";
    // 18 x 12 in at 60 ppi are 1080 x 720 px, 4.7 MB of 16 bits.
    sells(shop_of_sizes("{ least = 60, wanted = 60, most = 60 }", tiff + "most_bytes = 3_000_000\n"));
    EXPECT_EQ(option("file-too-large", picture, {{"size", "18x12in"}}), "--size 12x8in");
    sells(shop_of_sizes("{ least = 60, wanted = 60, most = 60 }", tiff + "most_pixels = 500_000\n"));
    EXPECT_EQ(option("too-many-pixels", picture, {{"size", "18x12in"}}), "--size 12x8in");
    sells(shop_of_sizes("{ least = 60, wanted = 60, most = 60 }", tiff + "most_side_px = 800\n"));
    EXPECT_EQ(option("side-too-long", picture, {{"size", "18x12in"}}), "--size 12x8in");
    // Where fewer pixels an inch are taken, the size stays.
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 60 }", tiff + "most_side_px = 800\n"));
    EXPECT_EQ(option("side-too-long", picture, {{"size", "18x12in"}}), "--ppi 44");
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 60 }", tiff + "most_pixels = 500_000\n"));
    EXPECT_EQ(option("too-many-pixels", picture, {{"size", "18x12in"}}).substr(0, 6), "--ppi ");
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 60 }", any_file + "most_bytes = 1_000_000\n"));
    EXPECT_EQ(option("file-too-large", picture, {{"size", "18x12in"}, {"format", "tiff"}}), "--format jpeg");
}

TEST_F(ways_out, of_a_file_beyond_plain_tiff_is_the_largest_print_that_one_holds) {
    support::ShopMedium banner = support::plain_paper("paper");
    banner.ppi = "{ least = 10, wanted = 120, most = 120 }";
    banner.file = "formats = [\"tiff\"]\ntiff_bits = [16]\ntiff_compressions = [\"none\"]\n";
    // At 120 ppi and 16 bits 3.3 GB and 5.2 GB; a plain TIFF ends at 4.29.
    banner.sizes = {{"240 x 160", "240 x 160 in", "900.00"}, {"300 x 200", "300 x 200 in", "1400.00"}};
    const auto picture = room.tiff("picture.tif", scene({1800, 1200}, 3, 8));
    // Where the shop takes no larger one, the wish itself is refused.
    banner.file += "big_tiff = true\n";
    sells(support::shop_text("Test Prints", "", {banner}));
    EXPECT_EQ(option("big-tiff", picture, {{"size", "300x200in"}}), "--size 240x160in");
}

TEST_F(ways_out, of_noise_is_a_smaller_print_for_the_same_place) {
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 400 }", any_file));
    support::TestPicture grainy = support::gradient({600, 400}, 3, 8);
    std::mt19937_64 random(7);
    std::normal_distribution<double> grain(0, 3);
    for (std::uint16_t& sample : grainy.samples) {
        sample = static_cast<std::uint16_t>(std::clamp(std::lround(sample + grain(random)), 0L, 255L));
    }
    const auto picture = room.tiff("grainy.tif", grainy);
    const std::string way = option("noise-shows", picture, {{"size", "18x12in"}});
    EXPECT_THAT(way, testing::StartsWith("--size "));
}

/// `size` pixels, between whose every `factor`-th there is nothing but a slope.
support::TestPicture soft(base::PixelSize size, int factor) {
    const base::PixelSize few{size.width / factor + 1, size.height / factor + 1};
    const support::TestPicture small = support::noise(few, 3, 8, 5);
    support::TestPicture large{size, 3, 8, {}};
    large.samples.reserve(static_cast<std::size_t>(3 * size.count()));
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            const double across = static_cast<double>(x % factor) / factor,
                         down = static_cast<double>(y % factor) / factor;
            for (int c = 0; c < 3; ++c) {
                const auto at = [&](int right, int below) {
                    const int i = (y / factor + below) * few.width + x / factor + right;
                    return static_cast<double>(small.samples[static_cast<std::size_t>(3 * i + c)]);
                };
                const double value = (1 - down) * ((1 - across) * at(0, 0) + across * at(1, 0)) +
                                     down * ((1 - across) * at(0, 1) + across * at(1, 1));
                large.samples.push_back(static_cast<std::uint16_t>(std::lround(value)));
            }
        }
    }
    return large;
}

TEST_F(ways_out, of_coarse_detail_is_a_smaller_print_for_the_same_place) {
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 400 }", any_file));
    // From 2 m, 44 ppi of detail are sharp; 1200 px on 18 in are 67 ppi, and hold a quarter of that.
    EXPECT_THAT(option("too-little-detail", room.tiff("soft.tif", soft({1200, 800}, 4)),
                       {{"size", "18x12in"}, {"distance", "2m"}}),
                testing::AllOf(testing::StartsWith("--size "), testing::Not(testing::HasSubstr("distance"))));
    // Of itself a smaller print is seen from nearer, where it is as soft.
    EXPECT_THAT(option("too-little-detail", room.tiff("soft.tif", soft({3200, 2132}, 4)), {{"size", "18x12in"}}),
                testing::HasSubstr(" --distance "));
}

TEST_F(ways_out, are_not_offered_where_they_do_not_lead_out) {
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 400 }", any_file));
    // Bright and dark seams along an edge stay in the picture, whatever the print's own sharpening.
    support::TestPicture seams{{600, 400}, 3, 8, {}};
    for (int y = 0; y < 400; ++y) {
        for (int x = 0; x < 600; ++x) {
            const int in = x % 100;
            int value = in < 50 ? 90 : 160;
            if (in >= 47 && in < 50) value = 50;
            if (in >= 50 && in < 53) value = 200;
            if (in >= 97) value = 200;
            if (in < 3) value = 50;
            for (int c = 0; c < 3; ++c) seams.samples.push_back(static_cast<std::uint16_t>(value));
        }
    }
    EXPECT_EQ(option("halos", room.tiff("seams.tif", seams), {{"size", "3x2in"}}), "");
}

TEST_F(ways_out, of_edges_lead_out_too) {
    const auto picture = room.tiff("picture.tif", scene({600, 400}, 3, 16));
    EXPECT_EQ(option("wrapped-round", picture, {{"medium", "canvas"}, {"wrap", "round"}}), "--wrap mirror");
    sells(shop_of_sizes("{ least = 10, wanted = 60, most = 400 }", any_file,
                        "bleed = { place = \"outside\", every_side = \"3 mm\" }\n"));
    EXPECT_EQ(option("no-bleed", picture, {{"bleed", "off"}}), "--bleed auto");
}

TEST(WordsOfOption, are_those_of_a_wish_or_none) {
    EXPECT_EQ(jobs::words_of_option("--size 24x16in --distance 2m"),
              (jobs::WishWords{{"size", "24x16in"}, {"distance", "2m"}}));
    EXPECT_TRUE(jobs::words_of_option("").empty());
    EXPECT_TRUE(jobs::words_of_option("--anyway").empty());
    EXPECT_TRUE(jobs::words_of_option("--colour red").empty());
    EXPECT_TRUE(jobs::words_of_option("size 3x2in").empty());
}

}  // namespace
}  // namespace hangtrue::jobs_test
