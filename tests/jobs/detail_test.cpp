// SPDX-License-Identifier: Apache-2.0
// The detail of pictures: what is told, what is written, and how it ends.

#include "engine/jobs/detail.h"

#include <cstdlib>
#include <fstream>

#include "engine/jobs/look.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using jobs::Ending;
using testing::HasSubstr;
using testing::IsEmpty;

/// Cells of 3 px, each dark or light by chance: fine structure everywhere.
support::TestPicture cells(base::PixelSize size, int channels, int bits) {
    support::TestPicture picture = support::gradient(size, channels, bits);
    std::mt19937_64 random(7);
    std::vector<bool> is_dark(static_cast<std::size_t>((size.width / 3 + 1) * (size.height / 3 + 1)));
    for (std::size_t i = 0; i < is_dark.size(); ++i) is_dark[i] = random() % 2 == 0;
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            const bool dark = is_dark[static_cast<std::size_t>(y / 3 * (size.width / 3 + 1) + x / 3)];
            for (int c = 0; c < channels; ++c)
                picture.at(x, y, c) = static_cast<std::uint16_t>(picture.white() / (dark ? 4 : 2));
        }
    }
    return picture;
}

jobs::SizesQuestion asked(const std::string& shop, const std::string& medium) {
    jobs::SizesQuestion question;
    question.shop = shop;
    question.medium = medium;
    return question;
}

TEST(jobs_detail, tells_each_picture_by_itself_and_records_nothing) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path good = room.tiff("good.tif", cells({300, 200}, 3, 16));
    const fs::path missing = room.pictures() / "none.tif";
    const auto outcome = jobs::detail({{missing, good}, {}, false}, context);
    ASSERT_EQ(outcome.pictures.size(), 2u);
    EXPECT_EQ(outcome.pictures[0].ending, Ending::unreadable);
    EXPECT_THAT(outcome.pictures[0].sentence, HasSubstr("none.tif"));
    const jobs::PictureDetail& found = outcome.pictures[1];
    EXPECT_EQ(found.ending, Ending::done) << found.sentence;
    EXPECT_GT(found.detail.measured.detail_cycles_per_px, 0.2);
    EXPECT_NEAR(found.true_megapixels, 0.06 * std::pow(found.detail.measured.detail_cycles_per_px / 0.5, 2), 1e-9);
    EXPECT_EQ(found.jpeg_quality, 0);
    EXPECT_GT(found.seconds.measure, 0);
    ASSERT_FALSE(found.sentences.empty());
    EXPECT_THAT(found.sentences[0], HasSubstr("cycles a pixel"));
    EXPECT_FALSE(fs::exists(room.data() / "ledger.sqlite"));
}

TEST(jobs_detail, says_the_quality_of_a_jpeg_from_its_tables) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path file = room.pictures() / "camera.jpg";
    support::write_jpeg(file, cells({320, 240}, 3, 8), {.quality = 85});
    const auto outcome = jobs::detail({{file}, {}, false}, context);
    EXPECT_NEAR(outcome.pictures.at(0).jpeg_quality, 85, 1);
    EXPECT_FALSE(outcome.pictures[0].jpeg_in_the_past);
}

TEST(jobs_detail, a_report_is_a_pdf_that_takes_no_other_files_place_unless_told) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("good.tif", cells({300, 200}, 1, 8));
    const fs::path report = room.out() / "detail.pdf";
    EXPECT_EQ(jobs::detail({{picture}, report, false}, context).report_ending, Ending::done);
    const auto bytes = support::file_bytes(report);
    ASSERT_GT(bytes.size(), 1000u);
    EXPECT_EQ(std::string(reinterpret_cast<const char*>(bytes.data()), 5), "%PDF-");

    const auto refused = jobs::detail({{picture}, report, false}, context);
    EXPECT_EQ(refused.report_ending, Ending::unwritable);
    EXPECT_THAT(refused.report_sentence, HasSubstr("detail.pdf"));
    EXPECT_THAT(refused.pictures, IsEmpty()) << "told before anything is measured";
    EXPECT_EQ(jobs::detail({{picture}, report, true}, context).report_ending, Ending::done);
    EXPECT_EQ(support::file_bytes(report), bytes);
    EXPECT_EQ(jobs::detail({{picture}, picture, true}, context).report_ending, Ending::bad_wish);
}

TEST(jobs_detail, a_report_of_pictures_with_nothing_in_them_is_written_too) {
    Workroom room;
    jobs::Context context = room.context();
    std::vector<fs::path> pictures;
    for (const base::PixelSize size : {base::PixelSize{1, 1}, base::PixelSize{16, 16}, base::PixelSize{3, 900}}) {
        support::TestPicture flat = support::gradient(size, 3, 8);
        std::ranges::fill(flat.samples, std::uint16_t{255});
        pictures.push_back(room.tiff("flat" + std::to_string(size.width) + ".tif", flat));
    }
    const auto outcome = jobs::detail({pictures, room.out() / "flat.pdf", false}, context);
    EXPECT_EQ(outcome.report_ending, Ending::done) << outcome.report_sentence;
    for (const auto& found : outcome.pictures) {
        EXPECT_EQ(found.ending, Ending::done) << found.sentence;
        EXPECT_EQ(found.true_megapixels, 0);
        EXPECT_THAT(found.sentences.at(0), HasSubstr("no detail"));
    }
}

TEST(jobs_detail, stopped_leaves_no_report) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("good.tif", cells({300, 200}, 3, 8));
    room.progress().cancel();
    const auto outcome = jobs::detail({{picture}, room.out() / "detail.pdf", false}, context);
    EXPECT_EQ(outcome.pictures.at(0).ending, Ending::cancelled);
    EXPECT_THAT(room.names_made(), IsEmpty());
}

TEST(jobs_sizes, tell_by_detail_and_by_headers_alone_where_that_is_asked_for) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("good.tif", cells({300, 200}, 3, 8));
    const auto measured = jobs::sizes({picture}, asked("test", "paper"), context);
    ASSERT_EQ(measured.at(0).ending, Ending::done) << measured[0].sentence;
    EXPECT_GT(measured[0].detail_cycles_per_px, 0.2);
    EXPECT_GT(measured[0].seconds.measure, 0);
    EXPECT_NE(measured[0].media.at(0).rows.at(0).sharpness, plan::Sharpness::unknown);
    EXPECT_FALSE(fs::exists(room.data() / "ledger.sqlite"));

    const auto quick = jobs::sizes_by_headers({picture}, "test", "paper", context);
    EXPECT_EQ(quick.at(0).detail_cycles_per_px, 0);
    EXPECT_EQ(quick[0].seconds.measure, 0);
    EXPECT_EQ(quick[0].media.at(0).rows.at(0).sharpness, plan::Sharpness::unknown);
}

TEST(jobs_sizes, of_a_picture_cut_short_are_told_by_pixels_with_the_reason) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.pictures() / "short.jpg";
    support::write_jpeg(picture, cells({640, 480}, 3, 8), {.quality = 95});
    fs::resize_file(picture, fs::file_size(picture) / 2);
    const auto found = jobs::sizes({picture}, asked("test", ""), context);
    ASSERT_EQ(found.at(0).ending, Ending::done) << found[0].sentence;
    EXPECT_EQ(found[0].pixels, (base::PixelSize{640, 480}));
    EXPECT_FALSE(found[0].media.empty());
    EXPECT_THAT(found[0].detail_sentence, HasSubstr("short.jpg"));
}

TEST(jobs_sizes, stop_when_told_to) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("good.tif", cells({300, 200}, 3, 8));
    room.progress().cancel();
    EXPECT_THROW(jobs::sizes({picture}, asked("", ""), context), base::Cancelled);
}

TEST(jobs_context, tells_what_to_do_where_there_is_no_folder_for_temporary_files) {
    const char* const was = std::getenv("TMPDIR");
    const std::string kept = was != nullptr ? was : "";
    ::setenv("TMPDIR", "/nowhere/at/all", 1);
    const jobs::Ended end = jobs::ended([] { jobs::scratch_folder(); });
    was != nullptr ? ::setenv("TMPDIR", kept.c_str(), 1) : ::unsetenv("TMPDIR");
    EXPECT_EQ(end.ending, Ending::unwritable);
    EXPECT_THAT(end.sentence, HasSubstr("TMPDIR"));
}

TEST(jobs_context, refuses_a_name_that_is_taken_before_any_work_and_leaves_nothing) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("good.tif", cells({30, 20}, 3, 8));
    const fs::path taken = room.root() / "taken.pdf";
    std::ofstream(taken) << "mine";
    EXPECT_THROW(jobs::expect_free_name(picture, taken, false, context), base::WriteFailed);
    EXPECT_NO_THROW(jobs::expect_free_name(picture, taken, true, context));
    EXPECT_EQ(base::read_whole_file(taken, 100), "mine");
    EXPECT_THROW(jobs::expect_free_name(picture, room.root(), true, context), base::WriteFailed);
    EXPECT_THROW(jobs::expect_free_name(picture, picture, true, context), base::InvalidWish);
    EXPECT_NO_THROW(jobs::expect_free_name(picture, room.root() / "free.pdf", false, context));
    EXPECT_FALSE(fs::exists(room.root() / "free.pdf"));
}

}  // namespace
}  // namespace hangtrue::jobs_test
