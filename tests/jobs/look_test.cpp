// SPDX-License-Identifier: Apache-2.0
// Looking at prints and enlarging pictures: what comes out, and that nothing else does.

#include <cmath>

#include "engine/jobs/older_plan.h"
#include "engine/jobs/wall.h"
#include "engine/ledger/ledger.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using jobs::Ending;
using support::TestPicture;
using testing::HasSubstr;
using testing::IsEmpty;

const Words jpeg_of_several_blocks{{"format", "jpeg"}, {"ppi", "400"}};

jobs::ViewRequest view_request(const Workroom& room, const fs::path& picture, const Words& words,
                               base::PixelRect window) {
    jobs::ViewRequest request;
    request.picture = picture;
    request.wish = Workroom::wish(words);
    request.window = window;
    request.out = room.root() / "view.png";
    request.replace = true;
    return request;
}

TEST(view_of_a_jpeg, shows_what_libjpeg_decodes_there_before_the_file_is_made_and_after) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("ridge.tif", scene({300, 200}, 3, 8));
    const std::vector<base::PixelRect> windows{{0, 0, 70, 40}, {505, 250, 30, 20}, {1199, 799, 1, 1}};  // of 1200 x 800
    std::vector<TestPicture> before;
    for (const base::PixelRect window : windows) {
        const jobs::ViewRequest request = view_request(room, picture, jpeg_of_several_blocks, window);
        const jobs::Viewed viewed = jobs::view(request, context);
        EXPECT_TRUE(viewed.as_decoded);
        EXPECT_TRUE(viewed.made_file.empty());
        before.push_back(read_png(request.out));
    }
    EXPECT_FALSE(fs::exists(room.data() / "ledger.sqlite"));
    const jobs::MadeFile made = room.made(picture, jpeg_of_several_blocks);
    const TestPicture decoded = support::decoded_jpeg(made.file);
    for (std::size_t i = 0; i < windows.size(); ++i) {
        const jobs::ViewRequest request = view_request(room, picture, jpeg_of_several_blocks, windows[i]);
        const jobs::Viewed viewed = jobs::view(request, context);
        EXPECT_TRUE(viewed.as_decoded);
        EXPECT_TRUE(fs::equivalent(viewed.made_file, made.file));
        EXPECT_TRUE(read_png(request.out) == part_of(decoded, windows[i]));
        EXPECT_TRUE(before[i] == part_of(decoded, windows[i]));
    }
}

TEST(view_of_a_jpeg, codes_it_anew_where_the_made_file_is_not_any_more_what_was_made) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("ridge.tif", scene({90, 60}, 3, 8));
    const jobs::MadeFile made = room.made(picture, {{"format", "jpeg"}});
    const TestPicture decoded = support::decoded_jpeg(made.file);
    std::vector<std::byte> bytes = support::file_bytes(made.file);
    bytes[bytes.size() - 100] ^= std::byte{1};
    support::write_bytes(made.file, bytes);
    const jobs::ViewRequest request = view_request(room, picture, {{"format", "jpeg"}}, {10, 10, 50, 50});
    const jobs::Viewed viewed = jobs::view(request, context);
    EXPECT_TRUE(viewed.made_file.empty());
    EXPECT_TRUE(read_png(request.out) == part_of(decoded, request.window));
}

TEST(view, at_half_scale_is_half_as_wide_and_high_and_of_an_even_field_the_same_colour) {
    Workroom room;
    jobs::Context context = room.context();
    TestPicture grey = scene({90, 60}, 3, 8);
    for (std::uint16_t& sample : grey.samples) sample = 128;
    const fs::path picture = room.tiff("grey.tif", grey);
    for (const char* format : {"tiff", "jpeg"}) {
        jobs::ViewRequest request = view_request(room, picture, {{"format", format}, {"bits", "8"}}, {0, 0, 101, 50});
        if (format == std::string("jpeg")) request.wish.bits.reset();
        request.scale = 0.5;
        EXPECT_EQ(jobs::view(request, context).written, (base::PixelSize{51, 25}));
        const TestPicture seen = read_png(request.out);
        EXPECT_EQ(seen.size, (base::PixelSize{51, 25}));
        // Dither and coding move a field of one colour by one code at most.
        for (const std::uint16_t sample : seen.samples) EXPECT_NEAR(sample, 128, 1);
    }
}

/// Every file below a folder, with its bytes.
std::vector<std::pair<fs::path, std::vector<std::byte>>> contents(const fs::path& folder) {
    std::vector<std::pair<fs::path, std::vector<std::byte>>> all;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) all.emplace_back(entry.path(), support::file_bytes(entry.path()));
    }
    std::sort(all.begin(), all.end());
    return all;
}

TEST(looking, at_views_checks_walls_and_enlargings_leaves_the_records_as_they_are) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("ridge.tif", scene({90, 60}, 3, 8));
    const fs::path unknown = room.tiff("lake.tif", scene({90, 60}, 3, 8, 2));
    const auto look = [&](const fs::path& file) {
        jobs::view(view_request(room, file, {}, {0, 0, 9, 9}), context);
        jobs::check(file, Workroom::wish({}), context);
        jobs::enlarge(
            {.in = file, .out = room.root() / "twice.png", .factor = 2, .by = plan::Enlarging::filter, .replace = true},
            context);
    };
    const auto before_any = contents(room.data());
    look(picture);
    EXPECT_TRUE(contents(room.data()) == before_any) << "no ledger is made";
    const jobs::MadeFile made = room.made(picture);
    const auto before = contents(room.data());
    look(picture);
    look(unknown);
    jobs::draw_wall({made.file}, room.root() / "wall.png", context);
    EXPECT_TRUE(contents(room.data()) == before);
    const ledger::Ledger ledger(room.data() / "ledger.sqlite", ledger::Access::look);
    EXPECT_THAT(ledger.picture_places(made.plan.picture.content), testing::SizeIs(1)) << "making remembers";
}

// --- enlarge ---

struct EnlargeCase {
    int channels;
    int bits;
    bool has_profile;
    bool to_tiff;
};
std::string name_of(const testing::TestParamInfo<EnlargeCase>& instance) {
    const EnlargeCase& c = instance.param;
    return std::string(c.channels == 1 ? "grey" : "rgb") + std::to_string(c.bits) +
           (c.has_profile ? "_profile" : "_plain") + (c.to_tiff ? "_tiff" : "_png");
}
std::vector<EnlargeCase> enlarge_cases() {
    std::vector<EnlargeCase> cases;
    for (const int channels : {1, 3}) {
        for (const int bits : {8, 16}) {
            for (const bool has_profile : {false, true}) {
                for (const bool to_tiff : {false, true}) cases.push_back({channels, bits, has_profile, to_tiff});
            }
        }
    }
    return cases;
}

class enlarging : public testing::TestWithParam<EnlargeCase> {
  protected:
    /// The result as another library reads it, and its profile as the engine's own opener finds it.
    TestPicture enlarged(const fs::path& picture, double factor) {
        out = room.root() / (GetParam().to_tiff ? "out.tif" : "out.png");
        jobs::Context context = room.context();
        const jobs::Enlarged result = jobs::enlarge(
            {.in = picture, .out = out, .factor = factor, .by = plan::Enlarging::filter, .replace = true}, context);
        const TestPicture read = GetParam().to_tiff ? read_tiff(out) : read_png(out);
        EXPECT_EQ(result.size, read.size);
        EXPECT_EQ(result.bits, read.bits);
        EXPECT_EQ(result.channels, read.channels);
        return read;
    }
    fs::path written(const TestPicture& picture) {
        support::TiffWish wish;
        if (GetParam().has_profile) {
            const auto bytes =
                (GetParam().channels == 1 ? colour::Profile::srgb_grey() : colour::Profile::srgb()).bytes();
            wish.metadata.icc_profile.assign(bytes.begin(), bytes.end());
        }
        return room.tiff("in.tif", picture, wish);
    }

    Workroom room;
    fs::path out;
};

TEST_P(enlarging, by_1_gives_every_sample_back_in_the_pictures_own_depth_channels_and_profile) {
    const TestPicture picture = scene({600, 300}, GetParam().channels, GetParam().bits);
    const fs::path file = written(picture);
    EXPECT_TRUE(enlarged(file, 1) == picture);
    EXPECT_EQ(raster::picture_info(out).icc_profile, raster::picture_info(file).icc_profile);
    EXPECT_EQ(raster::picture_info(out).icc_profile.empty(), !GetParam().has_profile);
}

TEST_P(enlarging, rounds_each_side_and_keeps_an_even_field_even) {
    TestPicture picture = scene({33, 21}, GetParam().channels, GetParam().bits);
    const int value = picture.bits == 8 ? 77 : 12345;
    for (std::uint16_t& sample : picture.samples) sample = static_cast<std::uint16_t>(value);
    const fs::path file = written(picture);
    for (const double factor : {2.0, 1.32, 3.7, 0.5, 0.31}) {
        const TestPicture result = enlarged(file, factor);
        EXPECT_EQ(result.size.width, std::lround(33 * factor)) << factor;
        EXPECT_EQ(result.size.height, std::lround(21 * factor)) << factor;
        // Neither dither nor sharpening: of one colour nothing else can come (in linear light rounded once more).
        for (const std::uint16_t sample : result.samples)
            EXPECT_NEAR(sample, value, factor < 1 && picture.bits == 16 ? 1 : 0);
    }
}

INSTANTIATE_TEST_SUITE_P(of, enlarging, testing::ValuesIn(enlarge_cases()), name_of);

TEST(enlarge_ppi, is_scaled_where_the_picture_says_one_and_left_out_where_it_does_not) {
    Workroom room;
    jobs::Context context = room.context();
    for (const bool to_tiff : {true, false}) {
        const fs::path plain = room.tiff("plain.tif", scene({30, 20}, 3, 8));
        const fs::path out = room.root() / (to_tiff ? "out.tif" : "out.png");
        jobs::enlarge({.in = plain, .out = out, .factor = 2, .by = plan::Enlarging::filter, .replace = true}, context);
        EXPECT_EQ(raster::picture_info(out).ppi.value, 0);
        if (to_tiff) {
            const OpenTiff tiff(TIFFOpen(out.c_str(), "r"));
            float ppi = 0;
            EXPECT_EQ(TIFFGetField(tiff.get(), TIFFTAG_XRESOLUTION, &ppi), 0);
        }
        // A print file says 60 ppi.
        const jobs::MadeFile made = room.made(plain);
        jobs::enlarge({.in = made.file, .out = out, .factor = 2.5, .by = plan::Enlarging::filter, .replace = true},
                      context);
        EXPECT_NEAR(raster::picture_info(out).ppi.value, 150, 0.02);  // a PNG counts whole pixels a metre
    }
}

TEST(enlarge_and_view, never_write_over_the_picture_whatever_it_is_called) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("ridge.tif", scene({30, 20}, 3, 8));
    const fs::path linked = room.pictures() / "linked.png";
    fs::create_hard_link(picture, linked);
    const auto before = support::file_bytes(picture);
    for (const fs::path& out : {picture, linked}) {
        const jobs::Ended end = jobs::ended([&] {
            jobs::enlarge({.in = picture, .out = out, .factor = 2, .by = plan::Enlarging::filter, .replace = true},
                          context);
        });
        EXPECT_EQ(end.ending, Ending::bad_wish);
        expect_a_sentence(end.sentence, out.string());
    }
    jobs::ViewRequest request = view_request(room, picture, {}, {0, 0, 9, 9});
    request.out = linked;
    EXPECT_EQ(jobs::ended([&] { jobs::view(request, context); }).ending, Ending::bad_wish);
    EXPECT_TRUE(support::file_bytes(picture) == before);
    EXPECT_TRUE(fs::equivalent(picture, linked));
}

// --- plans of earlier versions ---

TEST(older_plan, is_said_in_words_and_recorded_as_carried_out_today) {
    Workroom room;
    const fs::path picture = room.tiff("ridge.tif", scene({90, 60}, 3, 8));
    const jobs::MadeFile made = room.made(picture);
    EXPECT_EQ(jobs::older_plan_notice(made.plan), "");
    jobs::MakeRequest request = room.request(picture);
    request.plan = made.plan;
    request.plan->versions.sharpen -= 1;
    request.plan->versions.colour -= 1;
    request.replace = true;
    const jobs::MakeOutcome outcome = room.make(request);
    ASSERT_EQ(outcome.ending, Ending::done) << outcome.sentence;
    EXPECT_THAT(outcome.files.at(0).remarks,
                testing::Contains(HasSubstr(
                    "earlier version of this program, whose sharpening and colour conversion worked another way")));
    EXPECT_TRUE(outcome.files.at(0).plan.versions == plan::StageVersions{});
    jobs::ViewRequest look = view_request(room, picture, {}, {0, 0, 9, 9});
    look.plan = request.plan;
    jobs::Context context = room.context();
    EXPECT_THAT(jobs::view(look, context).notice, HasSubstr("pixels may differ"));
}

}  // namespace
}  // namespace hangtrue::jobs_test
