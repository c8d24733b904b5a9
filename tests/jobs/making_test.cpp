// SPDX-License-Identifier: Apache-2.0
// What make says and keeps beside its print files: saved plans, seconds, limits of bytes.

#include <chrono>
#include <thread>

#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using namespace std::chrono_literals;
using jobs::Ending;
using support::TestPicture;
using testing::HasSubstr;
using testing::IsEmpty;

class Failing : public base::Faults {
  public:
    int failing(base::Call call) override { return call == base::Call::rename ? ENOSPC : 0; }
};

TEST(saved_plan, stands_only_once_the_print_file_does) {
    Workroom room;
    jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene({90, 60}, 3, 8)));
    const fs::path plan = room.root() / "plan.toml";
    request.save_plan = plan;
    Failing faults;
    room.faults = &faults;
    EXPECT_EQ(room.make(request).ending, Ending::unwritable);
    room.faults = nullptr;
    EXPECT_FALSE(fs::exists(plan));
    const jobs::MakeOutcome outcome = room.make(request);
    ASSERT_EQ(outcome.ending, Ending::done) << outcome.sentence;
    jobs::Context context = room.context();
    EXPECT_TRUE(jobs::verify(outcome.files.at(0).file, plan, context).matches);
}

TEST(saved_plan, whose_name_is_taken_or_folder_missing_is_refused_before_anything_is_made) {
    Workroom room;
    jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene({90, 60}, 3, 8)));
    request.save_plan = room.root() / "taken.toml";
    support::write_bytes(*request.save_plan, {});
    const jobs::MakeOutcome taken = room.make(request);
    EXPECT_EQ(taken.ending, Ending::unwritable);
    expect_a_sentence(taken.sentence, "taken.toml");
    request.save_plan = room.root() / "nowhere/plan.toml";
    const jobs::MakeOutcome missing = room.make(request);
    EXPECT_EQ(missing.ending, Ending::unwritable);
    expect_a_sentence(missing.sentence, "nowhere");
    EXPECT_THAT(room.names_made(), IsEmpty());
}

/// Each file takes a while to get its name.
class SlowNaming : public base::Faults {
  public:
    void reached(base::Step step) override {
        if (step == base::Step::renamed) std::this_thread::sleep_for(60ms);
    }
};

TEST(seconds, whole_is_all_from_opening_to_the_ticket_of_each_panel) {
    Workroom room;
    SlowNaming slow;
    room.faults = &slow;
    const jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene({90, 60}, 3, 8)), {{"panels", "2"}});
    const auto start = std::chrono::steady_clock::now();
    const jobs::MakeOutcome outcome = room.make(request);
    const double wall = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    room.faults = nullptr;
    ASSERT_EQ(outcome.ending, Ending::done) << outcome.sentence;
    ASSERT_EQ(outcome.files.size(), 2u);
    double wholes = 0;
    for (const jobs::MadeFile& made : outcome.files) {
        const jobs::StageSeconds& seconds = made.seconds;
        EXPECT_GE(seconds.whole, seconds.open + seconds.measure + seconds.compute + seconds.sync + seconds.read_back);
        EXPECT_GE(seconds.whole, 0.12) << "print file and ticket took 60 ms each to name";
        wholes += seconds.whole;
    }
    EXPECT_LE(wholes, wall);
}

TEST(byte_limit, of_a_compressed_tiff_is_held_by_what_it_really_has) {
    Workroom room;
    // 180 x 120 px of 8 bits: 64,800 bytes of samples. A smooth picture packs well, noise does not at all.
    support::ShopMedium upload;
    upload.id = "upload";
    upload.name = "Small upload";
    upload.file =
        "formats = [\"tiff\"]\ntiff_bits = [8]\ntiff_compressions = [\"none\", \"lzw\", \"deflate\"]\nmost_bytes = "
        "40_000\n";
    upload.sizes = {{"3 x 2", "3 x 2 in", "1.50"}};
    const std::string shop = support::shop_text("Test Prints", "", {upload});
    support::write_bytes(room.data() / "shops/test.toml", std::as_bytes(std::span(shop)));
    const Words words{{"medium", "upload"}};
    TestPicture even = scene({180, 120}, 3, 8);
    for (std::uint16_t& sample : even.samples) sample = 128;
    const jobs::MadeFile made = room.made(room.tiff("even.tif", even), words);
    EXPECT_EQ(made.plan.file.compression, raster::TiffCompression::deflate);
    EXPECT_LE(made.bytes, 40'000);
    for (const auto& entry : fs::directory_iterator(room.out())) fs::remove(entry.path());

    const jobs::MakeOutcome refused =
        room.make(room.request(room.tiff("noise.tif", support::noise({180, 120}, 3, 8, 1)), words));
    EXPECT_EQ(refused.ending, Ending::bad_wish);
    expect_a_sentence(refused.sentence, "40 kB");
    EXPECT_THAT(room.names_made(), IsEmpty());
    jobs::Context context = room.context();
    EXPECT_THAT(jobs::ledger_rows("noise", 10, context), IsEmpty());
}

}  // namespace
}  // namespace hangtrue::jobs_test
