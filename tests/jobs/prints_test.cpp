// SPDX-License-Identifier: Apache-2.0
// Panels, borders, wraps, free sizes, JPEG to a limit, lists and order sheets, in the samples of made files.

#include <cmath>

#include "engine/base/error.h"
#include "engine/jobs/print_file.h"
#include "engine/raster/print_writer.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using jobs::Ending;
using support::TestPicture;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr int ramp_step = 100;

/// 16 bit, each column `ramp_step` codes above the one to its left: a sample tells from where in the picture it comes.
TestPicture ramp(base::PixelSize size) {
    TestPicture picture{size, 3, 16, {}};
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x)
            picture.samples.insert(picture.samples.end(), 3, static_cast<std::uint16_t>(5000 + ramp_step * x));
    }
    return picture;
}

/// Where in the ramp the sample comes from, in picture pixels from the left edge.
double place_in_ramp(std::uint16_t sample) { return (sample - 5000.0) / ramp_step + 0.5; }

void expect_flat(const TestPicture& file, base::PixelRect part, std::array<int, 3> colour) {
    for (int y = part.y; y < part.bottom(); ++y) {
        for (int x = part.x; x < part.right(); ++x) {
            for (int c = 0; c < 3; ++c) {
                ASSERT_EQ(file.at(x, y, c), colour[static_cast<std::size_t>(c)]) << x << ", " << y << ", channel " << c;
            }
        }
    }
}

/// The four parts of the file around `image`.
std::vector<base::PixelRect> around(base::PixelSize file, base::PixelRect image) {
    return {{0, 0, file.width, image.y},
            {0, image.bottom(), file.width, file.height - image.bottom()},
            {0, image.y, image.x, image.height},
            {image.right(), image.y, file.width - image.right(), image.height}};
}

// A ramp is enlarged exactly but at the picture's own ends; a tenth of a picture pixel is 10 codes of 65535.
TEST(panels, three_of_them_show_the_picture_on_with_the_gap_left_out_to_a_tenth_of_a_pixel) {
    Workroom room;
    jobs::MakeRequest request =
        room.request(room.tiff("ramp.tif", ramp({300, 90})),
                     {{"size", "2x2in"}, {"panels", "3"}, {"gap", "10mm"}, {"bits", "16"}, {"sharpen", "off"}});
    const jobs::MakeOutcome outcome = room.make(request);
    ASSERT_EQ(outcome.ending, Ending::done) << outcome.sentence;
    ASSERT_EQ(outcome.files.size(), 3u);
    const double scale = outcome.files[0].plan.enlarging;
    const double step = (2 * 25.4 + 10) / 25.4 * 60;  // file pixels from one panel's left edge to the next one's
    std::vector<double> left;
    for (const jobs::MadeFile& made : outcome.files) {
        const TestPicture file = read_tiff(made.file);
        EXPECT_EQ(file.size, (base::PixelSize{120, 120}));
        for (const int x : {20, 60, 99}) {
            const double expected = made.plan.geometry.crop.x + (x + 0.5) / scale;
            EXPECT_NEAR(place_in_ramp(file.at(x, 60, 0)), expected, 0.1)
                << "panel " << made.plan.panel << ", column " << x;
        }
        left.push_back(made.plan.geometry.crop.x);
    }
    EXPECT_NEAR((left[1] - left[0]) * scale, step, 1e-6);
    EXPECT_NEAR((left[2] - left[1]) * scale, step, 1e-6);
    EXPECT_NE(outcome.files[0].file, outcome.files[1].file);
    EXPECT_EQ(outcome.files[2].plan.panel, 3);
}

class flat_edge : public testing::TestWithParam<std::string> {};

TEST_P(flat_edge, border_is_exactly_white_or_exactly_its_colour_and_the_picture_begins_where_it_ends) {
    const std::string bits = GetParam();
    const int unit = bits == "8" ? 1 : 257;
    Workroom room;
    const fs::path picture = room.tiff("ridge.tif", ramp({180, 120}));
    struct Case {
        std::string border;
        std::array<int, 3> colour;
    };
    for (const Case& wanted : {Case{"5mm,10mm,15mm,20mm", {255, 255, 255}}, Case{"10mm:#204060", {0x20, 0x40, 0x60}}}) {
        const jobs::MadeFile made = room.made(picture, {{"border", wanted.border}, {"bits", bits}});
        const TestPicture file = read_tiff(made.file);
        EXPECT_EQ(file.size, (base::PixelSize{180, 120}));
        const base::PixelRect image = made.plan.geometry.image;
        if (wanted.border.starts_with("5mm")) {
            EXPECT_EQ(image.x, 47);  // 20 mm at 60 ppi is 47.2 pixels, 5 mm 11.8
            EXPECT_EQ(image.y, 12);
        }
        for (const base::PixelRect part : around(file.size, image)) {
            EXPECT_FALSE(part.empty());
            expect_flat(file, part, {wanted.colour[0] * unit, wanted.colour[1] * unit, wanted.colour[2] * unit});
        }
        for (const auto& [x, y] : {std::pair{image.x, image.y}, std::pair{image.right() - 1, image.bottom() - 1}}) {
            EXPECT_NE(file.at(x, y, 0), wanted.colour[0] * unit) << "the picture at " << x << ", " << y;
        }
    }
}

TEST_P(flat_edge, wrap_of_one_colour_is_exactly_it) {
    const int unit = GetParam() == "8" ? 1 : 257;
    Workroom room;
    const jobs::MadeFile made = room.made(room.tiff("ridge.tif", ramp({180, 120})),
                                          {{"medium", "canvas"}, {"wrap", "#102030"}, {"bits", GetParam()}});
    const TestPicture file = read_tiff(made.file);
    EXPECT_EQ(file.size, (base::PixelSize{227, 167}));  // 3 x 2 in and 10 mm on each side, at 60 ppi
    for (const base::PixelRect part : around(file.size, made.plan.geometry.image)) {
        expect_flat(file, part, {0x10 * unit, 0x20 * unit, 0x30 * unit});
    }
}

INSTANTIATE_TEST_SUITE_P(of_bits, flat_edge, testing::Values("8", "16"));

// At one scale everywhere; two blocks may differ in the last of 65535 codes.
TEST(canvas_wrap, mirrored_repeats_the_face_outwards_from_its_edge) {
    Workroom room;
    const jobs::MadeFile made = room.made(room.tiff("ridge.tif", scene({180, 120}, 3, 16)),
                                          {{"medium", "canvas"}, {"wrap", "mirror"}, {"bits", "16"}});
    const TestPicture file = read_tiff(made.file);
    const base::PixelRect image = made.plan.geometry.image;
    EXPECT_EQ(image, made.plan.geometry.finished_px);
    for (const int y : {image.y, image.y + 50, image.bottom() - 1}) {
        for (int i = 0; i < std::min(image.x, file.size.width - image.right()); ++i) {
            for (int c = 0; c < 3; ++c) {
                ASSERT_NEAR(file.at(image.x - 1 - i, y, c), file.at(image.x + i, y, c), 2) << "left, " << i;
                ASSERT_NEAR(file.at(image.right() + i, y, c), file.at(image.right() - 1 - i, y, c), 2)
                    << "right, " << i;
            }
        }
    }
    for (int i = 0; i < image.y; ++i)
        ASSERT_NEAR(file.at(100, image.y - 1 - i, 1), file.at(100, image.y + i, 1), 2) << "top, " << i;
}

TEST(canvas_wrap, running_round_shows_the_picture_on_round_the_bars) {
    Workroom room;
    const jobs::MadeFile made =
        room.made(room.tiff("ramp.tif", ramp({200, 150})),
                  {{"medium", "canvas"}, {"wrap", "round"}, {"bits", "16"}, {"sharpen", "off"}});
    const plan::Geometry& geometry = made.plan.geometry;
    const TestPicture file = read_tiff(made.file);
    EXPECT_EQ(geometry.image, (base::PixelRect{0, 0, 227, 167}));
    for (const int x : {8, 23, 24, 110, 203, 204, 218}) {
        EXPECT_NEAR(place_in_ramp(file.at(x, 5, 0)), geometry.crop.x + (x + 0.5) / made.plan.enlarging, 0.1) << x;
    }
}

TEST(free_size, of_100_x_70_mm_at_60_ppi_is_236_x_165_pixels) {
    Workroom room;
    const jobs::MadeFile made = room.made(room.tiff("ridge.tif", scene({180, 120}, 3, 8)), {{"size", "100x70mm"}});
    EXPECT_EQ(read_tiff(made.file).size, (base::PixelSize{236, 165}));
    EXPECT_NEAR(made.plan.geometry.finished.width.value, 100, 1e-9);
}

TEST(jpeg_to_a_limit, has_the_highest_quality_that_fits_and_says_where_it_is_under_92) {
    Workroom room;
    struct Case {
        TestPicture picture;
        std::string ppi;
    };
    bool one_under_92 = false;
    for (const Case& wanted : {Case{scene({180, 120}, 3, 8), "130"}, Case{scene({180, 120}, 3, 8), "90"},
                               Case{support::gradient({180, 120}, 3, 8), "60"}}) {
        const fs::path picture = room.tiff("ridge.tif", wanted.picture);
        const jobs::MadeFile made = room.made(picture, {{"medium", "upload"}, {"ppi", wanted.ppi}});
        ASSERT_TRUE(made.lossy);
        const int quality = made.lossy->quality;
        EXPECT_LE(made.bytes, 20000);
        EXPECT_EQ(made.bytes, static_cast<std::int64_t>(fs::file_size(made.file)));
        // What the coder was given, from a TIFF of the same wish for a medium of the same blur.
        jobs::MakeRequest as_tiff = room.request(picture, {});
        as_tiff.plan = made.plan;
        as_tiff.plan->file.format = raster::FileFormat::tiff;
        as_tiff.plan->file.most_bytes.reset();
        as_tiff.plan->file.name = "samples.tif";
        as_tiff.plan->shop = "nobody";  // so that the medium's file rules have nothing to say
        as_tiff.anyway = true;
        as_tiff.replace = true;
        const jobs::MakeOutcome outcome = room.make(as_tiff);
        ASSERT_EQ(outcome.ending, Ending::done) << outcome.sentence;
        const auto samples = support::as_bytes(read_tiff(outcome.files.at(0).file));
        const std::size_t row_bytes = static_cast<std::size_t>(made.plan.geometry.file.width) * 3;
        const raster::RowSupply rows = [&](int first, int, std::span<std::byte> out) {
            std::copy_n(samples.begin() + static_cast<std::ptrdiff_t>(static_cast<std::size_t>(first) * row_bytes),
                        out.size(), out.begin());
        };
        const raster::PrintTags tags = jobs::print_tags(made.plan, colour::Profile::srgb());
        EXPECT_EQ(raster::jpeg_bytes(tags, quality, rows, room.progress()), made.bytes);
        if (quality < 100) {
            EXPECT_GT(raster::jpeg_bytes(tags, quality + 1, rows, room.progress()), 20000) << quality;
        }
        ASSERT_FALSE(made.remarks.empty());
        expect_a_sentence(made.remarks.back(), "quality " + std::to_string(quality));
        const bool says_so = made.remarks.back().find("left no room for more") != std::string::npos;
        EXPECT_EQ(says_so, quality < 92) << made.remarks.back();
        one_under_92 = one_under_92 || quality < 92;
    }
    EXPECT_TRUE(one_under_92) << "no case told of a low quality";
}

TEST(jpeg_to_a_limit, that_no_quality_worth_printing_fits_is_refused_with_a_way_out) {
    Workroom room;
    const jobs::MakeOutcome outcome = room.make(room.request(
        room.tiff("noise.tif", support::noise({600, 400}, 3, 8, 5)), {{"medium", "upload"}, {"ppi", "200"}}));
    EXPECT_EQ(outcome.ending, Ending::bad_wish);
    expect_a_sentence(outcome.sentence, "20 kB");
    EXPECT_THAT(room.names_made(), IsEmpty());
}

class order_list : public testing::Test {
  protected:
    fs::path list_of(const std::string& text) const {
        const std::string whole = "format = 1\n" + text;
        support::write_bytes(room.root() / "prints.toml", std::as_bytes(std::span(whole)));
        return room.root() / "prints.toml";
    }
    static std::string print_of(const std::string& picture, const std::string& more) {
        return "[[print]]\npicture = \"pictures/" + picture + "\"\nshop = \"test\"\nmedium = \"paper\"\n" + more;
    }
    std::string refusal(const std::string& text) {
        const jobs::Ended end = jobs::ended([&] { jobs::requests_from_list(list_of(text), room.out()); });
        EXPECT_EQ(end.ending, Ending::unreadable);
        expect_a_sentence(end.sentence, "prints.toml");
        return end.sentence;
    }
    Workroom room;
};

TEST_F(order_list, makes_or_refuses_each_print_by_itself_and_writes_one_order_sheet) {
    room.tiff("a.tif", scene({90, 60}, 3, 8));
    room.tiff("b.tif", scene({60, 90}, 1, 8));
    room.tiff("tiny.tif", scene({15, 10}, 3, 8));
    const auto by_filter = [](const std::string& picture, const std::string& more) {
        return print_of(picture, more + "enlarge = \"filter\"\n");
    };
    const auto requests = jobs::requests_from_list(
        list_of(by_filter("a.tif", "size = \"3x2in\"\nquantity = 2\n") +
                by_filter("missing.tif", "size = \"3x2in\"\n") + by_filter("b.tif", "size = \"3x2in\"\nbits = 8\n") +
                by_filter("tiny.tif", "size = \"3x2in\"\n") + by_filter("a.tif", "size = \"2000x2in\"\n") +
                by_filter("a.tif", "size = \"3x2in\"\n")),
        room.out());
    ASSERT_EQ(requests.size(), 6u);
    jobs::Context context = room.context();
    const jobs::MakeSummary summary = jobs::make(requests, context);
    std::vector<Ending> endings;
    for (const jobs::MakeOutcome& outcome : summary.outcomes) {
        endings.push_back(outcome.ending);
        if (outcome.ending != Ending::done) expect_a_sentence(outcome.sentence, "");
    }
    EXPECT_THAT(endings,
                testing::ElementsAre(Ending::done, Ending::unreadable, Ending::done, Ending::refused, Ending::bad_wish,
                                     Ending::unwritable));  // the last one's name is taken by the first
    EXPECT_EQ(summary.outcomes[2].files.at(0).plan.geometry.file, (base::PixelSize{120, 180}));
    ASSERT_EQ(summary.order_sheets.size(), 1u);
    EXPECT_THAT(summary.order_sheets[0].filename().string(), HasSubstr("test 2026-03-14"));
    const auto sheet = support::file_bytes(summary.order_sheets[0]);
    ASSERT_GT(sheet.size(), 4u);
    EXPECT_EQ(std::string(reinterpret_cast<const char*>(sheet.data()), 4), "%PDF");
    EXPECT_EQ(room.names_made().size(), 5u) << "two files, two tickets, one order sheet";
    for (const std::size_t made : {0u, 2u}) {
        const jobs::MadeFile& file = summary.outcomes[made].files.at(0);
        EXPECT_TRUE(fs::exists(file.ticket));
        EXPECT_LE(file.order_note.size(), 250u);
        EXPECT_THAT(file.order_note, HasSubstr("no resizing"));
    }
}

TEST_F(order_list, made_call_by_call_replaces_no_print_of_its_own_and_leaves_the_order_sheet_to_the_caller) {
    const jobs::MakeRequest first = room.request(room.tiff("a.tif", scene({90, 60}, 3, 8)), {{"panels", "2"}});
    jobs::Context context = room.context();
    jobs::PrintsTogether together;
    const auto made = [&](jobs::MakeRequest request, bool replace) {
        request.replace = replace;
        const jobs::MakeSummary summary = jobs::make({request}, context, &together);
        EXPECT_THAT(summary.order_sheets, testing::IsEmpty());
        return summary.outcomes.at(0);
    };
    EXPECT_EQ(made(first, false).ending, Ending::done);
    EXPECT_EQ(room.names_made().size(), 4u) << "two panels with their tickets, no order sheet";
    const jobs::MakeOutcome same_name = made(first, true);
    EXPECT_EQ(same_name.ending, Ending::unwritable);
    EXPECT_TRUE(same_name.is_name_of_another);
    expect_a_sentence(same_name.sentence, "another print of this order");
    // By itself it is another order: its name is only taken, and its panels get their sheet.
    jobs::MakeRequest alone = first;
    const jobs::MakeOutcome taken = jobs::make({alone}, context).outcomes.at(0);
    EXPECT_EQ(taken.ending, Ending::unwritable);
    EXPECT_FALSE(taken.is_name_of_another);
    alone.replace = true;
    EXPECT_EQ(jobs::make({alone}, context).order_sheets.size(), 1u);
}

TEST_F(order_list, with_a_mistake_is_refused_with_its_line) {
    const std::string good = print_of("a.tif", "size = \"3x2in\"\n");
    EXPECT_THAT(refusal(good + print_of("a.tif", "size = \"3x2\"\n")), HasSubstr("line 11"));
    EXPECT_THAT(refusal(good + print_of("a.tif", "size = \"3x2in\"\nquantty = 2\n")), HasSubstr("quantity"));
    EXPECT_THAT(refusal(good + print_of("a.tif", "")), HasSubstr("size"));
    EXPECT_THAT(refusal("[[print]]\nshop = \"test\"\n"), HasSubstr("picture"));
    EXPECT_THAT(refusal(print_of("a.tif", "size = \"3x2in\"\nquantity = 0\n")), HasSubstr("quantity"));
    EXPECT_THAT(refusal(""), HasSubstr("no print"));
    EXPECT_THAT(refusal("[[print\n"), HasSubstr("line 2"));
    const jobs::Ended missing = jobs::ended([&] { jobs::requests_from_list(room.root() / "none.toml", room.out()); });
    EXPECT_EQ(missing.ending, Ending::unreadable);
    expect_a_sentence(missing.sentence, "none.toml");
}

}  // namespace
}  // namespace hangtrue::jobs_test
