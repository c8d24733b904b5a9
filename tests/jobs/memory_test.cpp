// SPDX-License-Identifier: Apache-2.0
// A gigapixel print is made within 1 GiB of anonymous memory. Several gigabytes are written: ./check --full alone.

#include <sys/wait.h>

#include <fstream>
#include <functional>

#include "engine/base/output_file.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

constexpr std::int64_t gib = std::int64_t{1} << 30;

/// RssAnon of `process` now, in bytes; 0 once it has ended (proc(5)).
std::int64_t anonymous_bytes(pid_t process) {
    std::ifstream status("/proc/" + std::to_string(process) + "/status");
    std::string word;
    while (status >> word) {
        if (word != "RssAnon:") continue;
        std::int64_t kilobytes = 0;
        status >> kilobytes;
        return kilobytes * 1024;
    }
    return 0;
}

/// The most that `work` had at any moment, in a process of its own; its status must be 0.
std::int64_t peak_of(const std::function<int()>& work) {
    const pid_t child = fork();
    if (child == 0) _exit(work());
    std::int64_t most = 0;
    int state = 0;
    while (waitpid(child, &state, WNOHANG) == 0) {
        most = std::max(most, anonymous_bytes(child));
        usleep(5'000);
    }
    EXPECT_TRUE(WIFEXITED(state) && WEXITSTATUS(state) == 0);
    return most;
}

bool measures_nothing() {
#if defined(__SANITIZE_ADDRESS__)
    return true;  // it keeps freed memory back
#else
    return HANGTRUE_UNDER_TSAN != 0;  // its shadow memory is several times the program's own
#endif
}

// 2000 x 16000 pixels of 16 bits are 192 MB; a band of 256 rows is 3 MB, and a few of them are under way at once.
TEST(memory_of, enlarging_and_viewing_192_mb_stays_under_90_mb) {
    if (measures_nothing()) GTEST_SKIP() << "a sanitizer's memory is not the program's";
    Workroom room;
    // Smooth, so that packing the PNG takes a moment only.
    const fs::path picture = room.tiff("tall.tif", support::gradient({500, 4000}, 3, 16));
    constexpr std::int64_t most = 90'000'000;
    for (const char* name : {"out.tif", "out.png"}) {
        const std::int64_t peak = peak_of([&] {
            jobs::Context context = room.context(2);
            return static_cast<int>(
                jobs::ended([&] {
                    jobs::enlarge(
                        {.in = picture, .out = room.root() / name, .factor = 4, .by = plan::Enlarging::filter},
                        context);
                }).ending);
        });
        EXPECT_GT(peak, 5'000'000) << "not looked at";
        EXPECT_LT(peak, most) << name;
        EXPECT_EQ(raster::picture_info(room.root() / name).size, (base::PixelSize{2000, 16000}));
    }
    const std::int64_t peak = peak_of([&] {
        jobs::Context context = room.context(2);
        jobs::ViewRequest request;
        request.picture = picture;
        request.wish = Workroom::wish({{"size", "5x40in"}, {"ppi", "400"}, {"bits", "16"}});
        request.window = {0, 0, 2000, 16000};
        request.out = room.root() / "view.png";
        return static_cast<int>(jobs::ended([&] { jobs::view(request, context); }).ending);
    });
    EXPECT_GT(peak, 5'000'000) << "not looked at";
    EXPECT_LT(peak, most) << "view";
}

class gigapixel : public testing::TestWithParam<int> {};

TEST_P(gigapixel, print_of_36000_x_28000_stays_under_1_gib_of_anonymous_memory) {
    if (!in_full()) GTEST_SKIP() << "writes up to 6 GB: set HANGTRUE_FULL";
    if (HANGTRUE_UNDER_TSAN) GTEST_SKIP() << "the thread sanitizer's shadow memory is several times the program's own";
#if defined(__SANITIZE_ADDRESS__)
    GTEST_SKIP() << "the address sanitizer keeps freed memory back";
#endif
    // On the disk: what lies in memory would be counted as nobody's, and there may be less of it.
    setenv("TMPDIR", "/var/tmp", 1);
    Workroom room;
    unsetenv("TMPDIR");
    if (base::free_bytes(room.out()) < 8 * gib) GTEST_SKIP() << "less than 8 GiB free in " << room.out();
    const int bits = GetParam();
    const jobs::MakeRequest request =
        room.request(room.tiff("ridge.tif", scene({4500, 3500}, 3, bits)),
                     {{"size", "360x280in"}, {"ppi", "100"}, {"bits", std::to_string(bits)}});
    const pid_t child = fork();
    if (child == 0) {
        const jobs::MakeOutcome outcome = room.make(request, 2);
        if (outcome.ending != jobs::Ending::done) std::fprintf(stderr, "%s\n", outcome.sentence.c_str());
        _exit(static_cast<int>(outcome.ending));
    }
    std::int64_t most = 0;
    int state = 0;
    while (waitpid(child, &state, WNOHANG) == 0) {
        most = std::max(most, anonymous_bytes(child));
        usleep(20'000);
    }
    ASSERT_TRUE(WIFEXITED(state));
    ASSERT_EQ(WEXITSTATUS(state), 0);
    EXPECT_GT(most, 10 * 1024 * 1024) << "not looked at";
    EXPECT_LT(most, gib);
    RecordProperty("most_anonymous_mib", static_cast<int>(most >> 20));
    for (const std::string& name : room.names_made()) {
        if (!name.ends_with(".tif")) continue;
        const OpenTiff tiff(TIFFOpen((room.out() / name).c_str(), "r"));
        ASSERT_NE(tiff, nullptr);
        EXPECT_EQ(TIFFIsBigTIFF(tiff.get()), bits == 16 ? 1 : 0);
    }
}

INSTANTIATE_TEST_SUITE_P(of_bits, gigapixel, testing::Values(8, 16));

}  // namespace
}  // namespace hangtrue::jobs_test
