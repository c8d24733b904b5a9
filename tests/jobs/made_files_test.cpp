// SPDX-License-Identifier: Apache-2.0
// What other libraries read of a made file; the same bytes for all threads; the view's pixels are the file's.

#include <sys/stat.h>

#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using support::TestPicture;

/// A file of 1200 x 800 pixels: three blocks across, four bands.
const Words several_blocks{{"ppi", "400"}};

Words joined(Words words, const Words& more) {
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

TEST(made_file, libtiff_reads_the_same_samples_from_every_compression) {
    Workroom room;
    support::TiffWish wish;
    wish.metadata.copyright = "© Ann Example";
    wish.metadata.author = "Ann Example";
    const fs::path picture = room.tiff("ridge.tif", scene({300, 200}, 3, 8), wish);
    for (const std::string bits : {"8", "16"}) {
        std::vector<TestPicture> read;
        for (const std::string compression : {"none", "lzw", "deflate"}) {
            SCOPED_TRACE(bits + " bits, " + compression);
            const jobs::MadeFile made =
                room.made(picture, joined(several_blocks, {{"bits", bits}, {"compression", compression}}));
            read.push_back(read_tiff(made.file));
            EXPECT_EQ(read.back().bits, std::stoi(bits));
            EXPECT_EQ(read.back().size, (base::PixelSize{1200, 800}));
            EXPECT_TRUE(read.back() == read.front());

            const OpenTiff tiff(TIFFOpen(made.file.c_str(), "r"));
            ASSERT_NE(tiff, nullptr);
            float ppi = 0;
            std::uint16_t code = 0;
            std::uint32_t length = 0;
            char* text = nullptr;
            const void* profile = nullptr;
            EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_XRESOLUTION, &ppi), 1);
            EXPECT_EQ(ppi, 400);
            EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_YRESOLUTION, &ppi), 1);
            EXPECT_EQ(ppi, 400);
            EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_RESOLUTIONUNIT, &code), 1);
            EXPECT_EQ(code, RESUNIT_INCH);
            EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_COMPRESSION, &code), 1);
            EXPECT_EQ(code, compression == "none"  ? COMPRESSION_NONE
                            : compression == "lzw" ? COMPRESSION_LZW
                                                   : COMPRESSION_ADOBE_DEFLATE);
            EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_COPYRIGHT, &text), 1);
            EXPECT_STREQ(text, "© Ann Example");
            EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_ARTIST, &text), 1);
            EXPECT_STREQ(text, "Ann Example");
            ASSERT_EQ(TIFFGetField(tiff.get(), TIFFTAG_ICCPROFILE, &length, &profile), 1);
            const auto srgb = colour::Profile::srgb().bytes();
            const auto* first = static_cast<const std::byte*>(profile);
            EXPECT_TRUE(std::equal(srgb.begin(), srgb.end(), first, first + length));
            EXPECT_EQ(TIFFNumberOfDirectories(tiff.get()), 1);
        }
    }
}

// Quality 100 of a smooth, slightly noisy picture: the coding's own roundings stay within 6 codes of 255.
TEST(made_file, libjpeg_reads_a_jpeg_within_6_codes_of_the_tiffs_samples) {
    Workroom room;
    const fs::path picture = room.tiff("ridge.tif", scene({300, 200}, 3, 8));
    const TestPicture samples = read_tiff(room.made(picture, {{"bits", "8"}, {"format", "tiff"}}).file);
    const jobs::MadeFile made = room.made(picture, {{"format", "jpeg"}});
    ASSERT_TRUE(made.lossy);
    EXPECT_EQ(made.lossy->quality, 100);
    EXPECT_LT(made.lossy->mean, 0.7);
    const TestPicture decoded = support::decoded_jpeg(made.file);
    ASSERT_EQ(decoded.size, samples.size);
    int largest = 0;
    for (std::size_t i = 0; i < samples.samples.size(); ++i)
        largest = std::max(largest, std::abs(samples.samples[i] - decoded.samples[i]));
    EXPECT_LE(largest, 6);
    EXPECT_GT(largest, 0) << "lossy coding that loses nothing was not looked at";
}

TEST(made_file, of_1_2_and_4_threads_is_the_same_byte_for_byte) {
    Workroom room;
    const fs::path picture = room.tiff("ridge.tif", scene({300, 200}, 3, 16));
    for (const Words& form :
         {Words{{"bits", "8"}, {"compression", "deflate"}}, Words{{"bits", "16"}}, Words{{"format", "jpeg"}}}) {
        const std::vector<std::byte> one =
            support::file_bytes(room.made(picture, joined(several_blocks, form), true, 1).file);
        for (const int threads : {2, 4}) {
            EXPECT_TRUE(support::file_bytes(room.made(picture, joined(several_blocks, form), true, threads).file) ==
                        one)
                << threads << " threads, " << form[0].second;
        }
    }
}

struct ViewCase {
    std::string name;
    int channels;
    Words words;
};
void PrintTo(const ViewCase& view, std::ostream* out) { *out << view.name; }
class view : public testing::TestWithParam<ViewCase> {};

TEST_P(view, gives_the_files_pixels_in_every_window) {
    Workroom room;
    const ViewCase& wanted = GetParam();
    const fs::path picture = room.tiff("ridge.tif", scene({300, 200}, wanted.channels, 16));
    const jobs::MadeFile made = room.made(picture, wanted.words);
    const TestPicture file = read_tiff(made.file);
    const auto [width, height] = file.size;
    // A corner with the edge, across block borders (512, 256), one pixel, and reaching out of the file.
    for (const base::PixelRect window :
         {base::PixelRect{0, 0, 70, 40}, base::PixelRect{500, 250, 30, 20},
          base::PixelRect{width - 1, height - 1, 1, 1}, base::PixelRect{width - 60, height - 30, 500, 500}}) {
        SCOPED_TRACE("window at " + std::to_string(window.x) + ", " + std::to_string(window.y));
        jobs::ViewRequest request;
        request.picture = picture;
        request.wish = Workroom::wish(wanted.words);
        request.window = window;
        request.out = room.root() / "view.png";
        request.replace = true;
        jobs::Context context = room.context(1);
        const jobs::Viewed viewed = jobs::view(request, context);
        EXPECT_EQ(viewed.window, base::intersection(window, {0, 0, width, height}));
        EXPECT_TRUE(read_png(request.out) == part_of(file, viewed.window));
    }
}

INSTANTIATE_TEST_SUITE_P(
    of, view,
    testing::Values(
        ViewCase{"colour_8", 3, {{"ppi", "400"}, {"bits", "8"}}},
        ViewCase{"colour_16", 3, {{"ppi", "400"}, {"bits", "16"}}},
        ViewCase{"grey_8", 1, {{"ppi", "400"}, {"bits", "8"}}},
        ViewCase{"canvas_mirror_8", 3, {{"medium", "canvas"}, {"ppi", "300"}, {"wrap", "mirror"}, {"bits", "8"}}},
        ViewCase{
            "canvas_mirror_grey_16", 1, {{"medium", "canvas"}, {"ppi", "300"}, {"wrap", "mirror"}, {"bits", "16"}}},
        ViewCase{"border_8", 3, {{"ppi", "400"}, {"border", "5mm,5mm,15mm,5mm"}, {"bits", "8"}}}),
    [](const auto& instance) { return instance.param.name; });

TEST(view_sentence, tells_a_panel_a_scale_and_a_window_that_do_not_exist) {
    Workroom room;
    jobs::ViewRequest request;
    request.picture = room.tiff("ridge.tif", scene({90, 60}, 3, 8));
    request.wish = Workroom::wish({});
    request.window = {0, 0, 10, 10};
    request.out = room.out() / "view.png";
    const auto ending = [&](auto change) {
        jobs::ViewRequest changed = request;
        change(changed);
        jobs::Context context = room.context();
        const jobs::Ended end = jobs::ended([&] { jobs::view(changed, context); });
        EXPECT_EQ(end.ending, jobs::Ending::bad_wish);
        expect_a_sentence(end.sentence, "");
        EXPECT_THAT(room.names_made(), testing::IsEmpty());
        return end.sentence;
    };
    EXPECT_THAT(ending([](auto& r) { r.panel = 2; }), testing::HasSubstr("no panel 2"));
    EXPECT_THAT(ending([](auto& r) { r.scale = 0; }), testing::HasSubstr("scale"));
    EXPECT_THAT(ending([](auto& r) { r.scale = 2; }), testing::HasSubstr("scale"));
    EXPECT_THAT(ending([](auto& r) { r.window = {180, 0, 5, 5}; }), testing::HasSubstr("180 x 120"));
}

struct Traces {
    std::int64_t bytes;
    std::int64_t modified_s, modified_ns, changed_s, changed_ns;
    friend bool operator==(const Traces&, const Traces&) = default;
};
Traces traces(const fs::path& file) {
    struct stat found {};
    if (stat(file.c_str(), &found) != 0) throw std::runtime_error("no " + file.string());
    return {found.st_size, found.st_mtim.tv_sec, found.st_mtim.tv_nsec, found.st_ctim.tv_sec, found.st_ctim.tv_nsec};
}

TEST(picture_file, keeps_its_size_bytes_and_times_through_make_view_verify_and_again) {
    Workroom room;
    const fs::path turned = room.tiff("turned.tif", support::stored_as(scene({90, 60}, 3, 8), 6), {.orientation = 6});
    const fs::path progressive = room.pictures() / "progressive.jpg";
    support::write_jpeg(progressive, scene({90, 60}, 3, 8), {.progressive = true});
    for (const fs::path& picture : {turned, progressive}) {
        const auto bytes = support::file_bytes(picture);
        const Traces before = traces(picture);
        const jobs::MadeFile made = room.made(picture);
        jobs::Context context = room.context();
        jobs::view({picture, Workroom::wish({}), {}, 1, {0, 0, 5, 5}, 1, room.root() / "view.png", true}, context);
        jobs::verify(made.file, std::nullopt, context);
        jobs::again({.id = made.ledger_id, .to = room.out(), .picture = {}, .replace = true}, context);
        EXPECT_EQ(traces(picture), before) << picture;
        EXPECT_TRUE(support::file_bytes(picture) == bytes) << picture;
        EXPECT_EQ(std::distance(fs::directory_iterator(room.pictures()), {}), 2);
    }
}

}  // namespace
}  // namespace hangtrue::jobs_test
