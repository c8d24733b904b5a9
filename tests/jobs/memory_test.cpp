// SPDX-License-Identifier: Apache-2.0
// A gigapixel print is made within 1 GiB of anonymous memory. Several gigabytes are written: ./check --full alone.

#include <sys/wait.h>

#include <fstream>

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
    const jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene({4500, 3500}, 3, bits)),
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
