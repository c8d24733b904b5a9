// SPDX-License-Identifier: Apache-2.0
/// Checks from a picture's file to its findings: each on a picture made to trip it, and on one made not to.

#include <gmock/gmock.h>

#include <cmath>
#include <functional>
#include <numbers>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/colour/profile.h"
#include "engine/jobs/check_report.h"
#include "engine/jobs/context.h"
#include "tests/jobs/workroom.h"
#include "tests/support/random.h"
#include "tests/support/sanitized.h"

namespace hangtrue::jobs_test {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;

/// 0..1 of each channel at a pixel.
using Pixels = std::function<std::array<double, 3>(int x, int y)>;
constexpr base::PixelSize size{480, 320};

support::TestPicture picture_of(const Pixels& pixels, int bits = 16) {
    support::TestPicture picture{size, 3, bits, {}};
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            for (const double value : pixels(x, y)) {
                picture.samples.push_back(static_cast<std::uint16_t>(std::lround(value * picture.white())));
            }
        }
    }
    return picture;
}

/// Soft waves about middle grey.
std::array<double, 3> waves(int x, int y) {
    const double light = 0.5 + 0.15 * std::sin(0.031 * x + 0.017 * y) + 0.1 * std::cos(0.043 * y - 0.011 * x);
    return {light, 0.95 * light, 0.85 * light};
}

std::vector<std::byte> bytes_of(const colour::Profile& profile) {
    return {profile.bytes().begin(), profile.bytes().end()};
}

class checks_of : public testing::Test {
  protected:
    Workroom room;

    fs::path file(const support::TestPicture& picture, const colour::Profile& profile = colour::Profile::srgb()) const {
        support::TiffWish wish;
        wish.metadata.icc_profile = bytes_of(profile);
        wish.metadata.copyright = "A. Photographer";
        return room.tiff("picture.tif", picture, wish);
    }
    fs::path file(const Pixels& pixels, const colour::Profile& profile = colour::Profile::srgb()) const {
        return file(picture_of(pixels), profile);
    }
    std::vector<checks::Finding> found(const fs::path& picture, const Words& words = {}) {
        jobs::Context context = room.context();
        return jobs::check(picture, Workroom::wish(words), context).findings;
    }
    std::vector<std::string> names(const fs::path& picture, const Words& words = {}) {
        std::vector<std::string> result;
        for (const auto& finding : found(picture, words)) result.push_back(finding.name);
        return result;
    }
    /// That finding, which must be there.
    checks::Finding the(const std::string& name, const fs::path& picture, const Words& words = {}) {
        for (auto& finding : found(picture, words)) {
            if (finding.name == name) return finding;
        }
        ADD_FAILURE() << "no " << name;
        return {};
    }
    /// The test shop with `lines` more about the paper.
    void tell_of_paper(const std::string& lines) {
        std::string shop = test_shop();
        const std::string before = "file_space = \"srgb\"\n";
        shop.insert(shop.find(before) + before.size(), lines);
        support::write_bytes(room.data() / "shops/test.toml", std::as_bytes(std::span(shop)));
    }
};

/// What soft waves on plain paper, never tested, are told: nothing of their pixels.
TEST_F(checks_of, soft_waves_find_nothing_in_the_pixels) {
    EXPECT_THAT(names(file(waves)), testing::UnorderedElementsAre("no-test-print", "improvement-untold"));
}

TEST_F(checks_of, a_white_sky_prints_as_paper_and_on_bare_metal_as_metal) {
    const auto sky = file([](int x, int y) -> std::array<double, 3> {
        return x >= 120 && x < 360 && y < 80 ? std::array<double, 3>{1, 1, 1} : waves(x, y);
    });
    const checks::Finding white = the("clipped-white", sky);
    EXPECT_NEAR(white.figure, 100.0 * 240 * 80 / (480 * 320), 0.3);
    // 12.5 % of 3 x 2 in.
    EXPECT_THAT(white.sentence, HasSubstr("0.7 square in"));
    ASSERT_EQ(white.where.size(), 1U);
    EXPECT_NEAR(white.where[0].x, 120, 2);
    EXPECT_NEAR(white.where[0].bottom(), 80, 2);
    tell_of_paper("base = \"bare-metal\"\n");
    EXPECT_THAT(names(sky), Contains("metal-shows"));
    EXPECT_THAT(names(sky), Not(Contains("clipped-white")));
}

TEST_F(checks_of, a_picture_of_8_bits_stretched_to_plateaus_shows_bands_and_one_of_16_bits_does_not) {
    // A slope of 60 codes of 255 along 480 px, in every third code: 1.2 L* a step.
    const auto slope = [](double steps) {
        return [steps](int x, int) {
            const double value = std::floor((100 + x / 8.0) / steps) * steps / 255;
            return std::array<double, 3>{value, value, value};
        };
    };
    const checks::Finding banding = the("banding", file(picture_of(slope(3), 8)));
    EXPECT_NEAR(banding.figure, 1.2, 0.15);
    EXPECT_THAT(names(file(picture_of(slope(1), 8))), Not(Contains("banding")));
    EXPECT_THAT(names(file(picture_of(slope(1.0 / 257), 16))), Not(Contains("banding")));
}

TEST_F(checks_of, colours_that_the_print_profile_does_not_hold_are_found) {
    // A print that holds sRGB alone, for files in Adobe RGB: its purest greens are out, its greys are not.
    support::write_bytes(room.data() / "shops/paper.icc", bytes_of(colour::Profile::srgb()));
    std::string shop = test_shop();
    const std::string space = "file_space = \"srgb\"\n";
    shop.replace(shop.find(space), space.size(), "file_space = \"adobe-rgb\"\nprint_profile = \"paper.icc\"\n");
    support::write_bytes(room.data() / "shops/test.toml", std::as_bytes(std::span(shop)));
    const auto meadow = [](double green) {
        return [green](int x, int y) -> std::array<double, 3> {
            return y >= 200 ? std::array<double, 3>{0.1, green, 0.1} : waves(x, y);
        };
    };
    const checks::Finding out = the("beyond-print-gamut", file(meadow(0.9), colour::Profile::adobe_rgb()));
    EXPECT_NEAR(out.figure, 100.0 * 120 / 320, 1);
    ASSERT_FALSE(out.where.empty());
    EXPECT_NEAR(out.where[0].y, 200, 3);
    EXPECT_THAT(names(file(meadow(0.15), colour::Profile::adobe_rgb())), Not(Contains("beyond-print-gamut")));
}

TEST_F(checks_of, a_print_profile_that_is_missing_is_said_with_its_file) {
    tell_of_paper("print_profile = \"paper.icc\"\n");
    jobs::Context context = room.context();
    const jobs::Ended end = jobs::ended([&] { jobs::check(file(waves), Workroom::wish({}), context); });
    EXPECT_EQ(end.ending, jobs::Ending::unreadable);
    expect_a_sentence(end.sentence, "paper.icc");
}

TEST_F(checks_of, colours_of_a_larger_space_that_srgb_cannot_hold_are_found) {
    const auto green = file(
        [](int, int) {
            return std::array<double, 3>{0.1, 0.8, 0.1};
        },
        colour::Profile::adobe_rgb());
    EXPECT_NEAR(the("beyond-file-space", green).figure, 100, 0.1);
    EXPECT_THAT(names(file(waves, colour::Profile::adobe_rgb())), Not(Contains("beyond-file-space")));
}

TEST_F(checks_of, a_profile_that_makes_colours_which_no_eye_can_see_does_not_fit) {
    // A night scene's blue, as sRGB holds it, with the profile of a much larger space on it.
    const auto blue = [](int x, int y) -> std::array<double, 3> {
        return x < 240 ? std::array<double, 3>{0.05, 0.25, 0.98} : waves(x, y);
    };
    EXPECT_THAT(the("profile-does-not-fit", file(blue, colour::Profile::romm_form())).sentence, HasSubstr("no eye"));
    EXPECT_THAT(names(file(blue)), Not(Contains("profile-does-not-fit")));
}

TEST_F(checks_of, noise_is_told_by_how_near_one_stands) {
    support::TestPicture picture = picture_of([](int, int) { return std::array<double, 3>{0.5, 0.5, 0.5}; }, 8);
    std::mt19937_64 random(5);
    std::normal_distribution<double> noise(0, 9);
    for (std::size_t i = 0; i < picture.samples.size(); i += 3) {
        const auto value = static_cast<std::uint16_t>(std::lround(std::clamp(128 + noise(random), 0.0, 255.0)));
        picture.samples[i] = picture.samples[i + 1] = picture.samples[i + 2] = value;
    }
    const auto grainy = file(picture);
    EXPECT_THAT(names(grainy, {{"size", "30x20in"}, {"distance", "1m"}}), Contains("noise-shows"));
    EXPECT_THAT(names(grainy, {{"distance", "3m"}}), Not(Contains("noise-shows")));
    EXPECT_THAT(names(file(waves), {{"size", "30x20in"}, {"distance", "1m"}}), Not(Contains("noise-shows")));
}

TEST_F(checks_of, a_coarse_jpeg_is_told_and_a_good_one_is_not) {
    const support::TestPicture leaves = scene(size, 3, 8);
    for (const int quality : {50, 95}) {
        const fs::path jpeg = room.pictures() / "leaves.jpg";
        support::JpegWish wish;
        wish.quality = quality;
        support::write_jpeg(jpeg, leaves, wish);
        const auto found_here = names(jpeg);
        EXPECT_EQ(std::count(found_here.begin(), found_here.end(), "jpeg-damage"), quality == 50 ? 1 : 0);
    }
}

TEST_F(checks_of, black_and_white_asks_for_a_test_print) {
    const auto grey = file([](int x, int y) {
        const double light = waves(x, y)[0];
        return std::array<double, 3>{light, light, light};
    });
    EXPECT_THAT(names(grey), Contains("tint-in-black-and-white"));
    EXPECT_THAT(names(file(waves)), Not(Contains("tint-in-black-and-white")));
}

TEST_F(checks_of, something_bright_in_the_corner_stands_at_the_edge) {
    tell_of_paper("safe_area = \"5 mm\"\n");
    // 31.5 px; a lamp 12 px wide, 14 px from the right and the lower edge.
    const auto lamp = [](int from_edge) {
        return [from_edge](int x, int y) -> std::array<double, 3> {
            const bool is_lamp = std::hypot(x - (480 - from_edge), y - (320 - from_edge)) < 6;
            return is_lamp ? std::array<double, 3>{0.95, 0.9, 0.7} : std::array<double, 3>{0.2, 0.2, 0.25};
        };
    };
    const checks::Finding thing = the("stands-at-edge", file(lamp(14)));
    ASSERT_EQ(thing.where.size(), 1U);
    EXPECT_NEAR(thing.where[0].x + thing.where[0].width / 2.0, 466, 4);
    EXPECT_NEAR(thing.where[0].y + thing.where[0].height / 2.0, 306, 4);
    EXPECT_THAT(names(file(lamp(120))), Not(Contains("stands-at-edge")));
}

TEST_F(checks_of, a_picture_made_darker_since_its_last_print_is_told_with_that_print) {
    const auto times = [](double share) {
        return [share](int x, int y) {
            auto rgb = waves(x, y);
            for (double& value : rgb) value *= share;
            return rgb;
        };
    };
    // Large enough for whole blocks of the fingerprint, 64 px.
    const Words words{{"size", "12x8in"}, {"ppi", "60"}};
    const auto first = file(times(1));
    EXPECT_THAT(names(first, words), Not(Contains("lightness-changed")));
    const jobs::MadeFile made = room.made(first, words);
    EXPECT_THAT(names(first, words), Not(Contains("lightness-changed")));
    const auto darker = file(times(0.8));  // The same path, edited.
    const checks::Finding changed = the("lightness-changed", darker, words);
    EXPECT_THAT(changed.sentence, HasSubstr("darker than the one of 2026-03-14"));
    EXPECT_THAT(changed.sentence, HasSubstr("number " + std::to_string(made.ledger_id)));
    // Codes of about 0.47 and of 0.38 are L* 50.3 and 40.9 (IEC 61966-2-1, CIE 15).
    EXPECT_NEAR(changed.figure, 9.5, 1);
    EXPECT_THAT(names(file(times(0.97)), words), Not(Contains("lightness-changed")));
    // Another part of the picture may be as dark as it likes.
    EXPECT_THAT(names(file(times(0.8)), {{"size", "12x8in"}, {"ppi", "60"}, {"crop", "0,0,240,160"}}),
                Not(Contains("lightness-changed")));
}

TEST_F(checks_of, each_option_that_a_finding_offers_is_one_that_a_wish_takes) {
    const auto small = file(waves);
    for (const Words& words : {Words{{"size", "30x20in"}}, Words{{"size", "6x4in"}, {"distance", "20cm"}},
                               Words{{"medium", "canvas"}, {"wrap", "round"}}}) {
        for (const auto& finding : found(small, words)) {
            if (finding.option.empty()) continue;
            SCOPED_TRACE(finding.name + ": " + finding.option);
            const auto space = finding.option.find(' ');
            ASSERT_EQ(finding.option.substr(0, 2), "--");
            plan::Wish wish = Workroom::wish(words);
            EXPECT_NO_THROW(
                jobs::set_wish_word(wish, finding.option.substr(2, space - 2), finding.option.substr(space + 1)));
            jobs::Context context = room.context();
            for (const auto& left : jobs::check(small, wish, context).findings) EXPECT_NE(left.name, finding.name);
        }
    }
}

TEST_F(checks_of, the_same_findings_come_of_any_number_of_threads_and_of_making) {
    const auto sky = file([](int x, int y) -> std::array<double, 3> {
        return y < 100 ? std::array<double, 3>{1, 1, 1} : waves(x, y);
    });
    const auto text = [](const std::vector<checks::Finding>& findings) {
        std::string all;
        for (const auto& finding : findings) {
            all += finding.name + " " + finding.sentence + " " + std::to_string(finding.figure) + "\n";
        }
        return all;
    };
    jobs::Context one = room.context(1);
    jobs::Context three = room.context(3);
    const std::string by_one = text(jobs::check(sky, Workroom::wish({}), one).findings);
    EXPECT_EQ(by_one, text(jobs::check(sky, Workroom::wish({}), three).findings));
    EXPECT_EQ(by_one, text(room.make(room.request(sky)).findings));
}

TEST_F(checks_of, a_cancelled_look_ends_and_leaves_nothing) {
    const auto picture = file(waves);
    room.progress().cancel();
    jobs::Context context = room.context();
    const jobs::Ended end = jobs::ended([&] { jobs::check(picture, Workroom::wish({}), context); });
    EXPECT_EQ(end.ending, jobs::Ending::cancelled);
    EXPECT_FALSE(fs::exists(room.data() / "ledger.sqlite"));
}

TEST_F(checks_of, of_one_pixel_and_of_one_row_end_with_findings_or_a_sentence) {
    for (const base::PixelSize tiny : {base::PixelSize{1, 1}, {400, 1}, {1, 400}, {17, 16}}) {
        const auto picture = room.tiff("tiny.tif", scene(tiny, 3, 8));
        jobs::Context context = room.context();
        const jobs::Ended end = jobs::ended([&] { jobs::check(picture, Workroom::wish({}), context); });
        EXPECT_NE(end.ending, jobs::Ending::our_fault) << tiny.width << " x " << tiny.height << ": " << end.sentence;
    }
}

/// Debian's lomiri-wallpapers (packages.txt). What is told of each is true: looked at, and written down in
/// docs/checks.md.
TEST_F(checks_of, the_demo_photographs_tell_nothing_that_is_not_so) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const fs::path photographs = "/usr/share/backgrounds";
    if (!fs::exists(photographs / "sunset_by_Aitzol_Berasategi.jpg")) GTEST_SKIP() << "lomiri-wallpapers is missing";
    const auto shop = support::file_bytes(fs::path(HANGTRUE_SOURCE_DIR) / "data/shops/quillfen.toml");
    support::write_bytes(room.data() / "shops/quillfen.toml", shop);
    for (const std::string name : {"picosdeeuropa", "life", "sunset", "aitzgorri"}) {
        SCOPED_TRACE(name);
        std::vector<std::string> wanted{"fewer-pixels-than-wanted", "no-test-print", "no-profile", "copyright-missing",
                                        "safe-area"};
        if (name == "picosdeeuropa") wanted.push_back("clipped-white");
        if (name == "aitzgorri") wanted.push_back("too-little-detail");  // Soft pixel for pixel.
        EXPECT_THAT(names(photographs / (name + "_by_Aitzol_Berasategi.jpg"),
                          {{"shop", "quillfen"}, {"medium", "metal-white"}, {"size", "24x16in"}}),
                    testing::UnorderedElementsAreArray(wanted));
    }
}

TEST_F(checks_of, are_kept_as_a_page_that_never_takes_a_name) {
    const auto sky = file([](int x, int y) -> std::array<double, 3> {
        return y < 100 ? std::array<double, 3>{1, 1, 1} : waves(x, y);
    });
    jobs::Context context = room.context();
    const std::vector<jobs::CheckOutcome> prints{jobs::check(sky, Workroom::wish({}), context),
                                                 jobs::check(sky, Workroom::wish({{"size", "6x4in"}}), context)};
    const fs::path out = room.root() / "findings.pdf";
    jobs::write_check_report(sky, prints, out, false, false, context);
    const std::string page = base::read_whole_file(out, 10'000'000);
    EXPECT_THAT(page, testing::StartsWith("%PDF-"));
    EXPECT_THAT(page, HasSubstr("/Count 2\n"));
    EXPECT_THROW(jobs::write_check_report(sky, prints, out, false, false, context), base::WriteFailed);
    EXPECT_NO_THROW(jobs::write_check_report(sky, prints, out, true, false, context));
    EXPECT_THROW(jobs::write_check_report(sky, prints, sky, true, false, context), base::InvalidWish);
}

}  // namespace
}  // namespace hangtrue::jobs_test
