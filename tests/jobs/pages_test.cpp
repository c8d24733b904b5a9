// SPDX-License-Identifier: Apache-2.0
// What the window's pages ask for: pictures at a glance, shop files changed with care, test sheets listed.

#include <fstream>

#include "engine/base/error.h"
#include "engine/colour/correction.h"
#include "engine/colour/difference.h"
#include "engine/colour/profile.h"
#include "engine/jobs/picture_list.h"
#include "engine/jobs/sheet_list.h"
#include "engine/jobs/shop_editing.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

std::string text_of(const fs::path& file) {
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

TEST(jobs_picture_list, a_folder_shows_its_pictures_by_name_and_nothing_else) {
    const Workroom room;
    room.tiff("b.TIF", scene({30, 20}, 3, 8));
    room.tiff("a.tiff", scene({30, 20}, 1, 16));
    std::ofstream(room.pictures() / "notes.txt") << "no picture";
    std::ofstream(room.pictures() / ".hidden.png") << "hidden";
    fs::create_directory(room.pictures() / "folder.png");
    EXPECT_THAT(jobs::pictures_in(room.pictures()), ElementsAre(room.pictures() / "a.tiff", room.pictures() / "b.TIF"));
    EXPECT_THROW(jobs::pictures_in(room.pictures() / "nowhere"), base::UnreadableInput);
}

TEST(jobs_picture_list, each_picture_tells_its_pixels_and_a_broken_one_why_it_is_broken) {
    Workroom room;
    const fs::path grey = room.tiff("grey.tif", scene({300, 200}, 1, 16));
    const fs::path broken = room.pictures() / "broken.jpg";
    std::ofstream(broken) << "no picture";
    jobs::Context context = room.context();
    const auto list = jobs::listed_pictures({grey, broken}, context);
    ASSERT_EQ(list.size(), 2u);
    EXPECT_EQ(list[0].pixels, (base::PixelSize{300, 200}));
    EXPECT_EQ(list[0].bits, 16);
    EXPECT_TRUE(list[0].is_grey);
    EXPECT_FALSE(list[0].has_profile);
    EXPECT_EQ(list[0].bytes, static_cast<std::int64_t>(fs::file_size(grey)));
    EXPECT_EQ(list[1].ending, jobs::Ending::unreadable);
    expect_a_sentence(list[1].sentence, "broken.jpg");
}

TEST(jobs_picture_list, the_largest_size_without_enlarging_is_the_one_with_the_largest_area_of_all_media) {
    const auto medium = [](const char* name, std::vector<double> widths, std::optional<std::size_t> largest) {
        plan::MediumSizes sizes;
        sizes.medium = name;
        for (const double width : widths) {
            plan::SizeRow row;
            row.name = std::to_string(static_cast<int>(width));
            row.size = {base::Millimetres{width}, base::Millimetres{width}};
            sizes.rows.push_back(row);
        }
        sizes.largest_without_enlarging = largest;
        return sizes;
    };
    const auto found =
        jobs::largest_without_enlarging({medium("canvas", {100, 200, 900}, 1), medium("metal", {150, 300}, 1),
                                         medium("paper", {300, 1000}, 0), medium("acrylic", {2000}, std::nullopt)});
    ASSERT_TRUE(found);
    EXPECT_EQ(found->medium, "metal");
    EXPECT_EQ(found->size_name, "300");
    EXPECT_FALSE(jobs::largest_without_enlarging({medium("acrylic", {2000}, std::nullopt)}));
}

TEST(jobs_picture_list, a_thumbnail_is_the_upright_picture_reduced_in_linear_light) {
    Workroom room;
    // Columns black and white by turns: mixed in linear light they are sRGB 188 (IEC 61966-2-1 of 0.5), in code 128.
    support::TestPicture stripes{{400, 200}, 3, 8, {}};
    for (int i = 0; i < 400 * 200; ++i) {
        for (int c = 0; c < 3; ++c) stripes.samples.push_back(i % 2 == 0 ? 0 : 255);
    }
    const fs::path picture = room.tiff("stripes.tif", stripes);
    jobs::Context context = room.context();
    const jobs::SmallPixels small = jobs::thumbnail(picture, 100, context);
    EXPECT_EQ(small.size, (base::PixelSize{100, 50}));
    ASSERT_EQ(small.rgb.size(), 100u * 50 * 3);
    for (int x = 10; x < 90; ++x) EXPECT_NEAR(small.rgb[static_cast<std::size_t>(3 * (25 * 100 + x))], 188, 2) << x;
}

TEST(jobs_shop_editing, an_answer_changes_one_line_and_becomes_the_kind_of_value_that_the_key_takes) {
    const std::string text = text_of(fs::path(HANGTRUE_SOURCE_DIR) / "data/shops/quillfen.toml");
    ASSERT_THAT(text, HasSubstr("# They mirror for the transfer themselves."));
    const auto line_added = [&](const std::string& medium, const std::string& key, const std::string& answer) {
        const std::string changed = jobs::with_answer(text, "quillfen.toml", medium, key, answer);
        // What is no longer the same, from both ends.
        std::size_t front = 0;
        while (front < text.size() && text[front] == changed[front]) ++front;
        std::size_t back = 0;
        while (back < text.size() - front && text[text.size() - 1 - back] == changed[changed.size() - 1 - back]) ++back;
        EXPECT_EQ(front + back, text.size()) << "more was touched than one place";
        return changed.substr(front, changed.size() - front - back);
    };
    EXPECT_THAT(line_added("acrylic-face", "mirrored", "no"), HasSubstr("mirrored = false"));
    EXPECT_THAT(line_added("acrylic-face", "file.big_tiff", "Yes"), HasSubstr("big_tiff = true"));
    EXPECT_THAT(line_added("acrylic-face", "file.most_side_px", "30000"), HasSubstr("most_side_px = 30000"));
    EXPECT_THAT(line_added("brushed-metal", "mount", "Float hanger"), HasSubstr("mount = \"Float hanger\""));
}

TEST(jobs_shop_editing, what_a_key_does_not_take_is_refused_with_its_rule_and_an_unknown_medium_with_its_name) {
    const std::string text = text_of(fs::path(HANGTRUE_SOURCE_DIR) / "data/shops/quillfen.toml");
    const auto refusal = [&](const std::string& medium, const std::string& key, const std::string& answer) {
        return jobs::ended([&] { jobs::with_answer(text, "quillfen.toml", medium, key, answer); });
    };
    EXPECT_EQ(refusal("acrylic-face", "mirrored", "perhaps").ending, jobs::Ending::bad_wish);
    EXPECT_THAT(refusal("acrylic-face", "mirrored", "perhaps").sentence, HasSubstr("mirrored"));
    EXPECT_THAT(refusal("velvet", "mirrored", "no").sentence, HasSubstr("\"velvet\""));
    EXPECT_THAT(refusal("acrylic-face", "mirrored", "  ").sentence, HasSubstr("open question"));
}

TEST(jobs_shop_editing, a_mistake_is_told_with_its_line_and_a_text_with_one_is_not_saved) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path file = room.data() / "shops/test.toml";
    const std::string before = text_of(file);
    const std::string wrong = "format = 1\nname = \"Test\"\ncurency = \"EUR\"\n";
    const jobs::ShopText read = jobs::read_shop_text(file, wrong);
    EXPECT_EQ(read.line, 3);
    EXPECT_EQ(read.column, 1);
    EXPECT_THAT(read.sentence, HasSubstr("currency"));
    EXPECT_THROW(jobs::save_shop_text(file, wrong, before, context), base::InvalidWish);
    EXPECT_EQ(text_of(file), before);
    // Another program's changes are not written over.
    EXPECT_THROW(jobs::save_shop_text(file, before + "# more\n", before + "# other\n", context), base::InvalidWish);
    EXPECT_EQ(text_of(file), before);
    jobs::save_shop_text(file, before + "# more\n", before, context);
    EXPECT_EQ(text_of(file), before + "# more\n");
}

TEST(jobs_shop_editing, the_demo_shops_are_laid_beside_what_is_there_and_over_nothing) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path demo = fs::path(HANGTRUE_SOURCE_DIR) / "data/shops";
    std::ofstream(room.data() / "shops/quillfen.toml") << "format = 1\nname = \"Mine\"\ncurrency = \"EUR\"\n";
    EXPECT_EQ(jobs::add_missing_shops(demo, context), 1);
    EXPECT_THAT(text_of(room.data() / "shops/quillfen.toml"), HasSubstr("\"Mine\""));
    EXPECT_EQ(text_of(room.data() / "shops/marrow-tine.toml"), text_of(demo / "marrow-tine.toml"));
    EXPECT_EQ(jobs::add_missing_shops(demo, context), 0);
    EXPECT_EQ(jobs::shop_texts(context).size(), 3u);
}

TEST(jobs_sheet_list, without_a_ledger_there_are_no_sheets_and_none_is_made_by_looking) {
    Workroom room;
    jobs::Context context = room.context();
    EXPECT_THAT(jobs::listed_sheets(context), IsEmpty());
    EXPECT_THROW(jobs::sheet_view(1, 100, context), base::InvalidWish);
    EXPECT_FALSE(fs::exists(room.data() / "ledger.sqlite"));
}

TEST(jobs_sheet_list, a_correction_is_drawn_as_its_curves_and_its_colours_as_srgb_has_them) {
    trial::Learned learned;
    learned.curves = colour::correction_of({.lightness = 5, .a = -2, .b = 1, .contrast = 0});
    const jobs::DrawnCorrection drawn = jobs::drawn_correction(learned);
    ASSERT_EQ(drawn.points.size(), colour::Correction::knots);
    EXPECT_DOUBLE_EQ(drawn.points.front().lightness, 0);
    EXPECT_DOUBLE_EQ(drawn.points.back().lightness, 100);
    // A middle grey goes up by what the shift says (colour/correction.h).
    EXPECT_NEAR(drawn.points[10].lightness, 55, 0.01);
    EXPECT_NEAR(drawn.points[10].a, -2, 0.01);
    // Each colour shown, read again by Little CMS, is the colour meant: what differs is 8 bits' rounding. Those that
    // sRGB does not hold are cut; the everyday colours lie within it.
    const colour::LabReader reader(colour::Profile::srgb());
    const colour::Corrector corrector(learned.curves);
    for (const jobs::DrawnCorrection::Pair& pair : drawn.pairs) {
        const auto lab = [&](const std::array<std::uint8_t, 3>& rgb) {
            return reader.lab({rgb[0] / 255.0f, rgb[1] / 255.0f, rgb[2] / 255.0f});
        };
        EXPECT_LT(colour::delta_e_2000(corrector.uncorrected(lab(pair.meant)), lab(pair.uncorrected)), 1);
    }
    EXPECT_GE(drawn.pairs.size(), 10u);
}

}  // namespace
}  // namespace hangtrue::jobs_test
