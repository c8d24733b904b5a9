// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/screen.h"

#include <cstring>

#include "engine/base/error.h"
#include "engine/jobs/kept_wishes.h"
#include "engine/jobs/room.h"
#include "engine/jobs/shop_files.h"
#include "engine/shops/shop_folder.h"
#include "tests/jobs/workroom.h"

namespace hangtrue {
namespace {

using jobs_test::part_of;
using jobs_test::read_png;
using jobs_test::scene;
using jobs_test::Words;
using jobs_test::Workroom;

support::TestPicture as_picture(const jobs::ScreenPixels& pixels) {
    support::TestPicture picture{pixels.size, 3, pixels.bits, {}};
    const std::size_t count = static_cast<std::size_t>(pixels.size.count()) * 3;
    for (std::size_t i = 0; i < count; ++i) {
        std::uint16_t sample = std::to_integer<std::uint16_t>(pixels.samples.at(pixels.bits == 16 ? 2 * i : i));
        if (pixels.bits == 16) std::memcpy(&sample, pixels.samples.data() + 2 * i, 2);
        picture.samples.push_back(sample);
    }
    return picture;
}

TEST(Screen, a_window_dot_for_dot_holds_the_samples_of_the_made_file) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 16));
    // libtiff reads the file that was made.
    const support::TestPicture file = jobs_test::read_tiff(room.made(picture).file);
    jobs::Context context = room.context();
    jobs::PictureAtHand at_hand(picture, context);
    const jobs::SettledPrint print = at_hand.settled(Workroom::wish({}), context);
    for (const base::PixelRect window :
         {base::PixelRect{0, 0, 180, 120}, base::PixelRect{37, 11, 64, 50}, base::PixelRect{150, 100, 500, 500}}) {
        const jobs::ScreenPixels seen = at_hand.window(print, 1, window, 1, context);
        const base::PixelRect cut = base::intersection(window, {0, 0, file.size.width, file.size.height});
        EXPECT_EQ(as_picture(seen).samples, part_of(file, cut).samples) << window.x << ", " << window.y;
    }
}

TEST(Screen, a_reduced_window_is_what_view_writes) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 16));
    jobs::Context context = room.context();
    jobs::ViewRequest request;
    request.picture = picture;
    request.wish = Workroom::wish({});
    request.window = {20, 10, 120, 90};
    request.scale = 0.37;
    request.out = room.out() / "view.png";
    jobs::view(request, context);
    jobs::PictureAtHand at_hand(picture, context);
    const jobs::SettledPrint print = at_hand.settled(request.wish, context);
    const jobs::ScreenPixels seen = at_hand.window(print, 1, request.window, request.scale, context);
    const support::TestPicture written = read_png(request.out);
    EXPECT_EQ(seen.size, written.size);
    EXPECT_EQ(as_picture(seen).samples, written.samples);
}

TEST(Screen, a_made_jpeg_is_shown_as_it_decodes) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 8));
    const Words words{{"medium", "upload"}};
    jobs::Context context = room.context();
    const auto file = room.made(picture, words).file;
    // `view` shows the made file, where the ledger knows one: by another way of reading it.
    jobs::ViewRequest request;
    request.picture = picture;
    request.wish = Workroom::wish(words);
    request.window = {20, 10, 60, 40};
    request.out = room.out() / "view.png";
    ASSERT_TRUE(jobs::view(request, context).as_decoded);
    EXPECT_EQ(as_picture(jobs::made_window(file, request.window, 1, context)).samples, read_png(request.out).samples);
}

TEST(Screen, another_object_with_the_same_picture_shows_the_same_print) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 8));
    jobs::Context context = room.context();
    jobs::PictureAtHand measuring(picture, context), looking(picture, context);
    const jobs::SettledPrint print = measuring.settled(Workroom::wish({}), context);
    EXPECT_EQ(looking.window(print, 1, {5, 5, 60, 40}, 1, context).samples,
              measuring.window(print, 1, {5, 5, 60, 40}, 1, context).samples);
    EXPECT_FALSE(looking.is_measured());
}

TEST(Screen, the_shape_has_the_sizes_and_the_crop_of_the_whole_plan) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 8));
    jobs::Context context = room.context();
    jobs::PictureAtHand at_hand(picture, context);
    for (const Words& words : {Words{}, Words{{"medium", "canvas"}}, Words{{"panels", "3"}, {"gap", "5mm"}}}) {
        const jobs::SettledPrint shape = at_hand.shape(Workroom::wish(words), context);
        const jobs::SettledPrint whole = at_hand.settled(Workroom::wish(words), context);
        EXPECT_FALSE(shape.whole);
        EXPECT_TRUE(whole.whole);
        ASSERT_EQ(shape.plans.size(), whole.plans.size());
        for (std::size_t i = 0; i < shape.plans.size(); ++i) {
            EXPECT_EQ(shape.plans[i].geometry.file, whole.plans[i].geometry.file);
            EXPECT_EQ(shape.plans[i].geometry.crop, whole.plans[i].geometry.crop);
            EXPECT_EQ(shape.plans[i].geometry.finished, whole.plans[i].geometry.finished);
        }
    }
}

TEST(Screen, the_first_sights_show_the_picture_upright_and_whole) {
    Workroom room;
    support::TestPicture picture = support::gradient({600, 300}, 3, 8);
    jobs::Context context = room.context();
    jobs::PictureAtHand at_hand(room.tiff("scene.tif", picture), context);
    const auto small = as_picture(at_hand.small(60, context));
    const auto coarse = as_picture(at_hand.coarse(60, context));
    ASSERT_EQ(small.size, (base::PixelSize{60, 30}));
    ASSERT_EQ(coarse.size, small.size);
    // A smooth picture looks the same averaged and picked out; half a step of ten pixels is what may differ.
    int largest = 0;
    for (std::size_t i = 0; i < small.samples.size(); ++i) {
        largest = std::max(largest, std::abs(int{small.samples[i]} - int{coarse.samples[i]}));
    }
    EXPECT_LE(largest, 8);
}

TEST(Screen, looking_over_finds_what_check_finds) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 8));
    jobs::Context context = room.context();
    jobs::PictureAtHand at_hand(picture, context);
    for (const Words& words : {Words{}, Words{{"medium", "canvas"}, {"wrap", "round"}}}) {
        const plan::Wish wish = Workroom::wish(words);
        const auto found = at_hand.looked_over(at_hand.settled(wish, context), wish, context);
        const auto checked = jobs::check(picture, wish, context).findings;
        ASSERT_EQ(found.size(), checked.size());
        for (std::size_t i = 0; i < found.size(); ++i) EXPECT_EQ(found[i].sentence, checked[i].sentence);
    }
}

TEST(Screen, the_print_looks_as_view_as_print_writes_it) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 16));
    jobs::Context context = room.context();
    jobs::ViewRequest request;
    request.picture = picture;
    request.wish = Workroom::wish({});
    request.window = {20, 10, 120, 90};
    request.as_print = jobs::ProofWish{};
    request.out = room.out() / "print.png";
    jobs::view(request, context);
    jobs::PictureAtHand at_hand(picture, context);
    const jobs::PrintedPixels printed =
        at_hand.printed(at_hand.settled(request.wish, context), 1, request.window, 1, {}, {}, context);
    EXPECT_EQ(as_picture(printed.pixels).samples, read_png(request.out).samples);
    EXPECT_FALSE(printed.sentences.empty());
}

TEST(Screen, looking_leaves_no_trace) {
    Workroom room;
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 8));
    jobs::Context context = room.context();
    jobs::PictureAtHand at_hand(picture, context);
    at_hand.window(at_hand.settled(Workroom::wish({}), context), 1, {0, 0, 50, 50}, 1, context);
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(room.data())) names.push_back(entry.path().filename());
    EXPECT_EQ(names, std::vector<std::string>{"shops"});
    EXPECT_THAT(room.names_made(), testing::IsEmpty());
}

TEST(Screen, a_wish_that_cannot_be_met_says_why) {
    Workroom room;
    jobs::Context context = room.context();
    jobs::PictureAtHand at_hand(room.tiff("scene.tif", scene({400, 300}, 3, 8)), context);
    const jobs::Ended ended = jobs::ended([&] {
        at_hand.shape(Workroom::wish({{"medium", "canvas"}, {"size", "9x2in"}}), context);
    });
    EXPECT_EQ(ended.ending, jobs::Ending::bad_wish);
    jobs_test::expect_a_sentence(ended.sentence, "Canvas");
}

TEST(KeptWishes, a_wish_is_found_again_by_what_the_picture_holds) {
    Workroom room;
    jobs::Context context = room.context();
    const auto picture = room.tiff("scene.tif", scene({40, 30}, 3, 8));
    const base::Sha256 content = jobs::content_of(picture, context);
    EXPECT_EQ(jobs::kept_wish(content, context), std::nullopt);
    const jobs::WishWords words{
        {"shop", "test"}, {"medium", "paper"}, {"size", "3x2in"}, {"crop", "1.5,2.25,30,20"}, {"sharpen", "80%"}};
    jobs::keep_wish(content, "scene.tif", words, context);
    EXPECT_EQ(jobs::kept_wish(content, context), words);
    const auto moved = room.pictures() / "renamed.tif";
    std::filesystem::rename(picture, moved);
    EXPECT_EQ(jobs::kept_wish(jobs::content_of(moved, context), context), words);
    const jobs::WishWords later{{"shop", "test"}};
    jobs::keep_wish(content, "scene.tif", later, context);
    EXPECT_EQ(jobs::kept_wish(content, context), later);
}

TEST(KeptWishes, a_damaged_one_says_where) {
    Workroom room;
    jobs::Context context = room.context();
    const base::Sha256 content = base::sha256("a picture");
    jobs::keep_wish(content, "a.tif", {{"shop", "test"}}, context);
    const auto file = room.data() / "wishes" / (content.hex() + ".toml");
    for (const std::string text : {"format = 1\n[wish]\nshoop = \"test\"\n", "format = 1\n[wish\n", "format = 2\n"}) {
        support::write_bytes(file, std::as_bytes(std::span(text)));
        EXPECT_THROW(jobs::kept_wish(content, context), base::UnreadableInput) << text;
    }
}

TEST(FirstWords, an_order_begins_with_the_largest_size_that_needs_no_enlarging) {
    Workroom room;
    jobs::Context context = room.context();
    const auto picture = room.tiff("scene.tif", scene({400, 300}, 3, 8));
    // 60 ppi wanted: 400 x 300 pixels give 6.67 x 5 in; 3 x 2 in is the largest listed.
    const jobs::WishWords words = jobs::first_words(picture, "test", "canvas", context);
    EXPECT_EQ(words.at("medium"), "canvas");
    EXPECT_EQ(jobs::wish_of(words).size, (base::SizeMm{base::inches(3), base::inches(2)}));
    EXPECT_EQ(jobs::first_words(picture, "no such shop", "", context).at("shop"), "test");
    std::filesystem::remove(room.data() / "shops/test.toml");
    EXPECT_TRUE(jobs::first_words(picture, "test", "canvas", context).empty());
}

TEST(FirstWords, another_medium_keeps_the_size_it_offers_and_drops_what_it_cannot_have) {
    Workroom room;
    jobs::Context context = room.context();
    const shops::ShopFolder folder = jobs::known_shops(context);
    const shops::Shop& shop = shops::shop_named(folder, "test");
    const jobs::WishWords canvas{{"shop", "test"},   {"medium", "canvas"}, {"size", "2x3in"},
                                 {"wrap", "mirror"}, {"distance", "2m"},   {"ppi", "100"}};
    const jobs::WishWords upload = jobs::words_on(canvas, shop, shops::medium_named(shop, "upload"));
    EXPECT_EQ(upload, (jobs::WishWords{{"shop", "test"}, {"medium", "upload"}, {"size", "2x3in"}, {"distance", "2m"}}));
    jobs::WishWords large = canvas;
    large["size"] = "40x30in";
    EXPECT_EQ(jobs::wish_of(jobs::words_on(large, shop, shops::medium_named(shop, "upload"))).size,
              (base::SizeMm{base::inches(3), base::inches(2)}));
}

TEST(FirstWords, the_demo_shops_are_added_and_never_written_over) {
    Workroom room;
    jobs::Context context = room.context();
    const std::string own = "# my own\n";
    support::write_bytes(room.data() / "shops/quillfen.toml", std::as_bytes(std::span(own)));
    jobs::add_demo_shops(HANGTRUE_SOURCE_DIR "/data/shops", context);
    EXPECT_TRUE(std::filesystem::exists(room.data() / "shops/marrow-tine.toml"));
    EXPECT_EQ(std::filesystem::file_size(room.data() / "shops/quillfen.toml"), own.size());
}

plan::Plan hung_plan(double width, double height) {
    plan::Plan plan;
    plan.geometry.finished = {{width}, {height}};
    plan.geometry.file = {300, 200};
    plan.geometry.image = {0, 0, 300, 200};
    plan.geometry.finished_px = {30, 20, 240, 160};
    plan.geometry.crop = {100, 50, 600, 400};
    plan.ppi = {254};
    return plan;
}

TEST(Room, a_print_hangs_with_its_middle_at_the_usual_height) {
    const jobs::Room room = jobs::room_of({hung_plan(914.4, 609.6)}, {0});
    EXPECT_DOUBLE_EQ(room.middle_height, 1500);
    EXPECT_DOUBLE_EQ(room.group.y + room.group.height / 2, room.height - 1500);
    EXPECT_DOUBLE_EQ(room.group.width, 914.4);
    // The crop's part under the finished rectangle: two picture pixels a file pixel.
    EXPECT_EQ(room.panels.at(0).shown, (base::RealRect{160, 90, 480, 320}));
}

TEST(Room, nothing_overlaps_whatever_the_size) {
    for (const double width : {100.0, 600.0, 1500.0, 4000.0}) {
        for (const double height : {100.0, 900.0, 2000.0, 3000.0}) {
            const jobs::Room room = jobs::room_of({hung_plan(width, height)}, {38});
            EXPECT_GE(room.group.x, room.door.right());
            EXPECT_LE(room.group.right(), room.width);
            EXPECT_LE(room.seat.right(), room.width);
            EXPECT_GE(room.group.y, 0);
            EXPECT_LT(room.group.bottom(), room.height);
            const bool beside = room.seat.x >= room.group.right();
            const bool below = room.seat.y >= room.group.bottom();
            EXPECT_TRUE(beside || below) << width << " x " << height;
        }
    }
}

TEST(Room, panels_hang_side_by_side_with_their_gap) {
    plan::Plan panel = hung_plan(400, 600);
    panel.gap = {25};
    const jobs::Room room = jobs::room_of({panel, panel, panel}, {0});
    EXPECT_DOUBLE_EQ(room.group.width, 3 * 400 + 2 * 25);
    EXPECT_DOUBLE_EQ(room.panels[1].place.x - room.panels[0].place.right(), 25);
    EXPECT_DOUBLE_EQ(room.panels[2].place.right(), room.group.right());
}

TEST(Room, ten_centimetres_are_ten_centimetres_on_the_screen) {
    // 254 ppi are 10 file pixels a millimetre; a screen of 4 device pixels a millimetre shows 100 mm on 400 of them.
    const double scale = jobs::true_size_scale(hung_plan(100, 100), 4, 1);
    EXPECT_DOUBLE_EQ(100 * 10 * scale, 400);
    EXPECT_DOUBLE_EQ(jobs::true_size_scale(hung_plan(100, 100), 4, 2), scale / 2);
}

}  // namespace
}  // namespace hangtrue
