// SPDX-License-Identifier: Apache-2.0
#include "engine/drawing/canvas.h"

#include <gtest/gtest.h>
#include <png.h>

#include <array>
#include <string>
#include <thread>

#include "tests/support/random.h"

namespace hangtrue::drawing {
namespace {

constexpr base::SizeMm small_page{{100}, {60}};
/// One pixel a millimetre: boxes at whole millimetres fall on whole pixels.
constexpr base::PixelsPerInch pixel_a_mm{25.4};

struct Pixels {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgb;
    std::array<int, 3> at(int x, int y) const {
        const auto first =
            (static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)) * 3;
        return {rgb.at(first), rgb.at(first + 1), rgb.at(first + 2)};
    }
    /// The first and the last column that is not white, or -1.
    std::pair<int, int> inked_columns() const {
        std::pair columns{-1, -1};
        for (int x = 0; x < width; ++x) {
            for (int y = 0; y < height; ++y) {
                if (at(x, y) == std::array{255, 255, 255}) continue;
                if (columns.first < 0) columns.first = x;
                columns.second = x;
            }
        }
        return columns;
    }
};

/// Read with libpng: not the library that wrote it.
Pixels decoded(const std::vector<std::byte>& png) {
    png_image image{};
    image.version = PNG_IMAGE_VERSION;
    EXPECT_NE(png_image_begin_read_from_memory(&image, png.data(), png.size()), 0);
    image.format = PNG_FORMAT_RGB;
    Pixels pixels{static_cast<int>(image.width), static_cast<int>(image.height), {}};
    pixels.rgb.resize(PNG_IMAGE_SIZE(image));
    EXPECT_NE(png_image_finish_read(&image, nullptr, pixels.rgb.data(), 0, nullptr), 0);
    return pixels;
}

bool is_in(const std::vector<std::byte>& bytes, std::string_view text) {
    return std::string_view(reinterpret_cast<const char*>(bytes.data()), bytes.size()).find(text) !=
           std::string_view::npos;
}

const std::string sentence = "A shop that is told nothing corrects what was right, and so the print comes out wrong.";

TEST(drawing_text, wraps_at_the_width_and_tells_its_height) {
    Canvas canvas = Canvas::pdf(small_page, "", "", "");
    const TextStyle style{.size_pt = 10};
    const double line = canvas.height_of("A", 80, style);
    // 10 pt are 3.53 mm; fonts set a line in 1.1 to 1.4 times their size.
    EXPECT_GT(line, 1.1 * 3.5);
    EXPECT_LT(line, 1.4 * 3.6);
    EXPECT_GT(canvas.height_of(sentence, 40, style), 3.5 * line);
    EXPECT_GT(canvas.height_of(sentence, 40, style), canvas.height_of(sentence, 80, style));
    EXPECT_EQ(canvas.text(5, 5, 40, sentence, style), canvas.height_of(sentence, 40, style));
}

TEST(drawing_text, is_cut_after_as_many_lines_as_asked) {
    const Canvas canvas = Canvas::pdf(small_page, "", "", "");
    const TextStyle two{.size_pt = 10, .most_lines = 2};
    const double exactly_two = canvas.height_of("A B", 3, {.size_pt = 10});  // One letter a line.
    EXPECT_NEAR(canvas.height_of(sentence, 40, two), exactly_two, 0.01);
    EXPECT_LT(canvas.height_of("A", 40, two), exactly_two);
}

TEST(drawing_text, a_word_longer_than_the_line_is_broken_and_stays_inside) {
    Canvas canvas = Canvas::png(small_page, {101.6});  // 4 pixels a millimetre.
    canvas.text(20, 2, 30, "a-file-name-that-goes-on-and-on-" + std::string(60, 'm') + ".tif", {.size_pt = 9});
    const auto [first, last] = decoded(canvas.finish()).inked_columns();
    EXPECT_GE(first, 20 * 4 - 1);
    EXPECT_LE(last, 50 * 4 + 1);
    EXPECT_GT(last, 40 * 4);
}

TEST(drawing_text, alignment_moves_it_to_its_edge) {
    const auto columns = [](Align align) {
        Canvas canvas = Canvas::png(small_page, {101.6});
        canvas.text(10, 10, 80, "iii", {.size_pt = 10, .align = align});
        return decoded(canvas.finish()).inked_columns();
    };
    EXPECT_LT(columns(Align::left).second, 30 * 4);
    EXPECT_GT(columns(Align::right).first, 80 * 4);
    const auto centre = columns(Align::centre);
    EXPECT_NEAR((centre.first + centre.second) / 2.0, 50 * 4, 3);  // Side bearings are part of a millimetre.
}

TEST(drawing_text, tabular_figures_have_one_width) {
    const Canvas canvas = Canvas::pdf(small_page, "", "", "");
    for (const Figures figures : {Figures::tabular, Figures::code}) {
        const TextStyle style{.size_pt = 10, .figures = figures};
        EXPECT_NEAR(canvas.width_of("11111", style), canvas.width_of("08080", style), 1e-6);
    }
    EXPECT_GT(canvas.width_of("mmmm", {}), canvas.width_of("mmm", {}));
}

TEST(drawing_text, takes_any_bytes) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    Canvas canvas = Canvas::pdf(small_page, "\xff title \x01", "\xc3", "");
    for (int round = 0; round < 60; ++round) {
        std::string text(random() % 200, '\0');
        for (char& letter : text) letter = static_cast<char>(random());
        const TextStyle style{.size_pt = 1 + static_cast<double>(random() % 30),
                              .most_lines = static_cast<int>(random() % 4)};
        EXPECT_GE(canvas.text(10, 10, static_cast<double>(random() % 100), text, style), 0);
    }
    EXPECT_GT(canvas.height_of(std::string(20'000, 'x'), 50, {}), 1000);
    EXPECT_TRUE(is_in(canvas.finish(), "%PDF-"));
}

TEST(drawing_text, line_breaks_are_spaces) {
    const Canvas canvas = Canvas::pdf(small_page, "", "", "");
    EXPECT_EQ(canvas.height_of("one\ntwo\r\nthree", 90, {}), canvas.height_of("one two three", 90, {}));
}

TEST(drawing_shapes, boxes_fall_on_the_pixels_that_they_name) {
    Canvas canvas = Canvas::png(small_page, pixel_a_mm);
    canvas.fill({10, 20, 30, 10}, {1, 0.5, 0});
    canvas.fill_around({50, 10, 20, 20}, {55, 15, 10, 10}, grey(0));
    canvas.line(0, 50.5, 100, 50.5, grey(0.2), 1);
    const Pixels pixels = decoded(canvas.finish());
    EXPECT_EQ(pixels.width, 100);
    EXPECT_EQ(pixels.height, 60);
    EXPECT_EQ(pixels.at(10, 20), (std::array{255, 128, 0}));
    EXPECT_EQ(pixels.at(39, 29), (std::array{255, 128, 0}));
    EXPECT_EQ(pixels.at(9, 20), (std::array{255, 255, 255}));
    EXPECT_EQ(pixels.at(40, 29), (std::array{255, 255, 255}));
    EXPECT_EQ(pixels.at(52, 12), (std::array{0, 0, 0}));
    EXPECT_EQ(pixels.at(60, 20), (std::array{255, 255, 255}));
    EXPECT_EQ(pixels.at(50, 50), (std::array{51, 51, 51}));
    EXPECT_EQ(pixels.at(50, 52), (std::array{255, 255, 255}));
}

TEST(drawing_shapes, opacity_and_gradients_mix_evenly) {
    Canvas canvas = Canvas::png(small_page, pixel_a_mm);
    canvas.fill({0, 0, 10, 10}, grey(0, 0.25));
    canvas.fill({20, 0, 10, 60}, grey(0), grey(1));
    const Pixels pixels = decoded(canvas.finish());
    // One code for rounding in 8 bits, two where a gradient is also sampled at pixel centres.
    EXPECT_NEAR(pixels.at(5, 5)[0], 191, 1);
    EXPECT_NEAR(pixels.at(25, 0)[0], 2, 2);
    EXPECT_NEAR(pixels.at(25, 30)[1], 130, 2);
    EXPECT_NEAR(pixels.at(25, 59)[2], 253, 2);
}

TEST(drawing_picture, keeps_its_colours_and_its_corners) {
    const std::vector<std::uint8_t> rgb = {255, 0, 0, 0, 255, 0, 0, 0, 255, 10, 20, 30};
    Canvas canvas = Canvas::png(small_page, pixel_a_mm);
    canvas.picture({10, 10, 40, 20}, {2, 2}, rgb);
    const Pixels pixels = decoded(canvas.finish());
    EXPECT_EQ(pixels.at(10, 10), (std::array{255, 0, 0}));
    EXPECT_EQ(pixels.at(49, 10), (std::array{0, 255, 0}));
    EXPECT_EQ(pixels.at(10, 29), (std::array{0, 0, 255}));
    EXPECT_EQ(pixels.at(49, 29), (std::array{10, 20, 30}));
    EXPECT_EQ(pixels.at(9, 10), (std::array{255, 255, 255}));
    EXPECT_EQ(pixels.at(50, 29), (std::array{255, 255, 255}));
}

TEST(drawing_picture, reducing_averages) {
    // A chequerboard of single pixels becomes its mean, not one of its colours.
    std::vector<std::uint8_t> rgb;
    for (int y = 0; y < 200; ++y) {
        for (int x = 0; x < 200; ++x) rgb.insert(rgb.end(), 3, (x + y) % 2 == 0 ? 0 : 255);
    }
    Canvas canvas = Canvas::png(small_page, pixel_a_mm);
    canvas.picture({10, 10, 20, 20}, {200, 200}, rgb);
    const Pixels pixels = decoded(canvas.finish());
    EXPECT_NEAR(pixels.at(20, 20)[0], 127.5, 8);  // The filter of ten pixels sees a few more of one kind.
}

std::vector<std::byte> some_document(std::string_view created) {
    Canvas canvas = Canvas::pdf(a4, "Ticket", "A. Fairweather", created);
    canvas.text(20, 20, 100, sentence, {});
    canvas.fill({20, 50, 30, 10}, grey(0.5, 0.5));
    canvas.next_page();
    canvas.text(20, 20, 100, "0123456789", {.weight = Weight::semibold, .figures = Figures::code});
    return canvas.finish();
}

TEST(drawing_document, the_same_drawing_gives_the_same_bytes) {
    EXPECT_EQ(some_document("2026-03-14"), some_document("2026-03-14T09:26:53Z"));
    EXPECT_NE(some_document("2026-03-14"), some_document("2026-03-15"));
}

TEST(drawing_document, tells_the_date_that_it_was_given_and_no_other) {
    EXPECT_TRUE(is_in(some_document("2026-03-14"), "/CreationDate (20260314000000Z)"));
    EXPECT_EQ(some_document("yesterday"), some_document(""));
    EXPECT_FALSE(is_in(some_document(""), "Date (202"));
}

TEST(drawing_document, has_the_pages_that_were_begun) { EXPECT_TRUE(is_in(some_document(""), "/Count 2")); }

TEST(drawing_document, threads_draw_at_once) {
    const auto expected = some_document("2026-03-14");
    std::array<std::vector<std::byte>, 4> documents;
    std::vector<std::thread> threads;
    for (auto& document : documents) threads.emplace_back([&] { document = some_document("2026-03-14"); });
    for (auto& thread : threads) thread.join();
    for (const auto& document : documents) EXPECT_EQ(document, expected);
}

}  // namespace
}  // namespace hangtrue::drawing
