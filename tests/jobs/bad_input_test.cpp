// SPDX-License-Identifier: Apache-2.0
// Bad input ends in its own way and in one sentence, and leaves nothing behind.

#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>

#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using jobs::Ending;
using support::TestPicture;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr base::PixelSize small{90, 60};

std::vector<std::byte> bytes_of(const colour::Profile& profile) {
    return {profile.bytes().begin(), profile.bytes().end()};
}

/// sRGB with another four-letter word at `offset` of its header (ICC.1:2010 table 17: class at 12, space at 16).
std::vector<std::byte> profile_with_word(std::size_t offset, std::string_view word) {
    std::vector<std::byte> bytes = bytes_of(colour::Profile::srgb());
    for (std::size_t i = 0; i < word.size(); ++i) bytes[offset + i] = static_cast<std::byte>(word[i]);
    return bytes;
}

void write_text(const fs::path& file, std::string_view text) {
    support::write_bytes(file, std::as_bytes(std::span(text)));
}

/// A classic TIFF that says it holds `side` x `side` RGB pixels, and holds twelve bytes of them.
void write_boastful_tiff(const fs::path& file, std::uint32_t side) {
    std::vector<std::byte> bytes;
    const auto put = [&](std::uint32_t value, int count) {
        for (int i = 0; i < count; ++i) bytes.push_back(static_cast<std::byte>(value >> (8 * i)));
    };
    const std::vector<std::array<std::uint32_t, 3>> entries{{256, 4, side}, {257, 4, side}, {258, 3, 8},
                                                            {259, 3, 1},    {262, 3, 2},    {273, 4, 200},
                                                            {277, 3, 3},    {278, 4, side}, {279, 4, 12}};
    put(0x002a4949, 4);
    put(8, 4);
    put(static_cast<std::uint32_t>(entries.size()), 2);
    for (const auto& [tag, type, value] : entries) {
        put(tag, 2);
        put(type, 2);
        put(1, 4);
        put(value, 4);
    }
    bytes.resize(212);
    support::write_bytes(file, bytes);
}

/// A JPEG whose header says 65000 x 65000.
void write_boastful_jpeg(const fs::path& file) {
    support::write_jpeg(file, scene(small, 3, 8), {});
    std::vector<std::byte> bytes = support::file_bytes(file);
    for (std::size_t i = 0; i + 9 < bytes.size(); ++i) {
        if (bytes[i] != std::byte{0xff} || bytes[i + 1] != std::byte{0xc0}) continue;
        bytes[i + 5] = bytes[i + 7] = std::byte{0xfd};  // 0xfde8 = 65000
        bytes[i + 6] = bytes[i + 8] = std::byte{0xe8};
        break;
    }
    support::write_bytes(file, bytes);
}

void cut(const fs::path& file, double share) {
    fs::resize_file(file, static_cast<std::uintmax_t>(static_cast<double>(fs::file_size(file)) * share));
}

struct BadPicture {
    std::string name;
    std::function<void(const fs::path&)> write;
};

support::TiffWish with_profile(std::vector<std::byte> profile) {
    support::TiffWish wish;
    wish.metadata.icc_profile = std::move(profile);
    return wish;
}

std::vector<BadPicture> bad_pictures() {
    const TestPicture rgb = scene(small, 3, 8);
    const TestPicture four = scene(small, 4, 8);
    const TestPicture two = scene(small, 2, 8);
    const TestPicture grey = scene(small, 1, 8);
    const auto tiff = [](TestPicture picture, support::TiffWish wish) {
        return [picture, wish](const fs::path& file) { support::write_tiff(file, picture, wish); };
    };
    return {
        {"text", [](const fs::path& file) { write_text(file, "A letter to the shop.\n"); }},
        {"zero_bytes", [](const fs::path& file) { write_text(file, ""); }},
        {"two_bytes", [](const fs::path& file) { write_text(file, "II"); }},
        {"missing", [](const fs::path&) {}},
        {"folder", [](const fs::path& file) { fs::create_directory(file); }},
        {"fifo", [](const fs::path& file) { ASSERT_EQ(mkfifo(file.c_str(), 0600), 0); }},
        {"broken_link", [](const fs::path& file) { fs::create_symlink("nowhere", file); }},
        {"device", [](const fs::path& file) { fs::create_symlink("/dev/zero", file); }},
        {"tiff_cut_short",
         [=](const fs::path& file) {
             support::write_tiff(file, rgb, {});
             cut(file, 0.6);
         }},
        {"tiff_lzw_cut_short",
         [=](const fs::path& file) {
             support::write_tiff(file, rgb, {.compression = COMPRESSION_LZW});
             cut(file, 0.6);
         }},
        {"jpeg_cut_short",
         [=](const fs::path& file) {
             support::write_jpeg(file, rgb, {});
             cut(file, 0.6);
         }},
        {"progressive_cut_short",
         [=](const fs::path& file) {
             support::write_jpeg(file, rgb, {.progressive = true});
             cut(file, 0.6);
         }},
        {"png_cut_short",
         [=](const fs::path& file) {
             support::write_png(file, rgb, {});
             cut(file, 0.6);
         }},
        {"interlaced_cut_short",
         [=](const fs::path& file) {
             support::write_png(file, rgb, {.interlaced = true});
             cut(file, 0.6);
         }},
        {"cmyk_jpeg", [=](const fs::path& file) { support::write_jpeg(file, four, {.cmyk = true}); }},
        {"cmyk_tiff", tiff(four, {.photometric = PHOTOMETRIC_SEPARATED})},
        {"alpha_tiff", tiff(four, {.extra_samples = {EXTRASAMPLE_UNASSALPHA}})},
        {"alpha_png", [=](const fs::path& file) { support::write_png(file, four, {.alpha = true}); }},
        {"grey_alpha_png", [=](const fs::path& file) { support::write_png(file, two, {.alpha = true}); }},
        {"signed_tiff", tiff(rgb, {.sample_format = SAMPLEFORMAT_INT})},
        {"claims_200000_px_a_side", [](const fs::path& file) { write_boastful_tiff(file, 200000); }},
        {"claims_40000_px_a_side", [](const fs::path& file) { write_boastful_tiff(file, 40000); }},
        {"claims_no_pixels", [](const fs::path& file) { write_boastful_tiff(file, 0); }},
        {"jpeg_claims_65000_px_a_side", [](const fs::path& file) { write_boastful_jpeg(file); }},
        {"profile_of_noise", tiff(rgb, with_profile(support::stand_in_profile(700)))},
        {"profile_cut_short",
         [=](const fs::path& file) {
             std::vector<std::byte> half = bytes_of(colour::Profile::srgb());
             half.resize(half.size() / 2);
             support::write_jpeg(file, rgb, {.metadata = {.icc_profile = half}});
         }},
        {"profile_device_link", tiff(rgb, with_profile(profile_with_word(12, "link")))},
        {"profile_abstract", tiff(rgb, with_profile(profile_with_word(12, "abst")))},
        {"profile_named_colours", tiff(rgb, with_profile(profile_with_word(12, "nmcl")))},
        {"profile_of_grey_in_rgb", tiff(rgb, with_profile(bytes_of(colour::Profile::srgb_grey())))},
        {"profile_of_rgb_in_grey",
         [=](const fs::path& file) {
             support::TiffWish wish = with_profile(bytes_of(colour::Profile::adobe_rgb()));
             wish.photometric = PHOTOMETRIC_MINISBLACK;
             support::write_tiff(file, grey, wish);
         }},
    };
}

void PrintTo(const BadPicture& picture, std::ostream* out) { *out << picture.name; }

class bad_picture : public testing::TestWithParam<BadPicture> {};

TEST_P(bad_picture, is_unreadable_in_one_sentence_that_names_it_and_leaves_nothing) {
    Workroom room;
    const fs::path file = room.pictures() / "my picture.any";
    GetParam().write(file);
    alarm(120);  // a picture that never ends must not hang the tests
    const jobs::MakeOutcome outcome = room.make(room.request(file));
    alarm(0);
    EXPECT_EQ(outcome.ending, Ending::unreadable) << outcome.sentence;
    EXPECT_TRUE(outcome.files.empty());
    expect_a_sentence(outcome.sentence, "my picture.any");
    EXPECT_THAT(room.names_made(), IsEmpty());
    // The shop's next picture is made all the same.
    EXPECT_EQ(room.make(room.request(room.tiff("good.tif", scene(small, 3, 8)))).ending, Ending::done);
}

INSTANTIATE_TEST_SUITE_P(kinds, bad_picture, testing::ValuesIn(bad_pictures()),
                         [](const auto& kind) { return kind.param.name; });

TEST(converted_picture, says_what_was_converted) {
    Workroom room;
    std::vector<std::uint16_t> map(256 * 3);
    for (std::size_t i = 0; i < map.size(); ++i) map[i] = static_cast<std::uint16_t>((i % 256) * 257);
    const fs::path palette = room.pictures() / "palette.tif";
    support::write_tiff(palette, scene(small, 1, 8), {.photometric = PHOTOMETRIC_PALETTE, .colour_map = map});
    const fs::path bilevel = room.pictures() / "bilevel.tif";
    support::write_tiff(bilevel, scene(small, 1, 8), {.photometric = PHOTOMETRIC_MINISBLACK, .file_bits = 1});
    for (const fs::path& picture : {palette, bilevel}) {
        const jobs::MakeOutcome outcome = room.make(room.request(picture));
        ASSERT_EQ(outcome.ending, Ending::done) << outcome.sentence;
        ASSERT_EQ(outcome.files[0].remarks.size(), 1u) << picture;
        expect_a_sentence(outcome.files[0].remarks[0], picture.filename().string());
    }
}

/// Runs `request` in a process that is nobody (65534), who may do little; its ending and sentence.
std::pair<int, std::string> as_nobody(Workroom& room, const jobs::MakeRequest& request) {
    int pipe_ends[2];
    if (pipe(pipe_ends) != 0) throw std::runtime_error("pipe");
    const pid_t child = fork();
    if (child == 0) {
        if (getuid() == 0 && seteuid(65534) != 0) _exit(120);
        const jobs::MakeOutcome outcome = room.make(request, 1);
        if (write(pipe_ends[1], outcome.sentence.data(), outcome.sentence.size()) < 0) _exit(121);
        _exit(static_cast<int>(outcome.ending));
    }
    close(pipe_ends[1]);
    std::string sentence;
    char letter = 0;
    while (read(pipe_ends[0], &letter, 1) == 1) sentence += letter;
    close(pipe_ends[0]);
    int state = 0;
    waitpid(child, &state, 0);
    return {WIFEXITED(state) ? WEXITSTATUS(state) : -1, sentence};
}

// Root may read all: as another user where the tests run as root.
TEST(no_permission, to_read_the_picture_or_to_write_the_folder_is_said_in_a_sentence) {
    Workroom room;
    const fs::path picture = room.tiff("private.tif", scene(small, 3, 8));
    room.make(room.request(picture, {{"size", "2x2in"}}));  // so that there is a ledger
    for (const auto& entry : fs::directory_iterator(room.out())) fs::remove(entry.path());
    for (const fs::path& open : {room.root(), room.data(), room.out(), room.data() / "ledger.sqlite"})
        fs::permissions(open, fs::perms::all);
    fs::permissions(picture, fs::perms::none);
    const auto [unreadable, why_unreadable] = as_nobody(room, room.request(picture));
    EXPECT_EQ(unreadable, static_cast<int>(Ending::unreadable)) << why_unreadable;
    expect_a_sentence(why_unreadable, "private.tif");
    EXPECT_THAT(room.names_made(), IsEmpty());

    fs::permissions(picture, fs::perms::all);
    fs::permissions(room.out(),
                    fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read | fs::perms::others_exec);
    const auto [unwritable, why_unwritable] = as_nobody(room, room.request(picture));
    EXPECT_EQ(unwritable, static_cast<int>(Ending::unwritable)) << why_unwritable;
    expect_a_sentence(why_unwritable, "out");
    EXPECT_THAT(room.names_made(), IsEmpty());
}

TEST(output_folder, that_is_missing_or_a_file_is_unwritable_and_named) {
    Workroom room;
    jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene(small, 3, 8)));
    for (const fs::path& folder : {room.root() / "not there", request.picture}) {
        request.to = folder;
        const jobs::MakeOutcome outcome = room.make(request);
        EXPECT_EQ(outcome.ending, Ending::unwritable);
        expect_a_sentence(outcome.sentence, folder.filename().string());
        EXPECT_FALSE(fs::is_directory(folder));
    }
}

TEST(name_that_exists, is_refused_and_kept_until_replace_is_said) {
    Workroom room;
    jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene(small, 3, 8)));
    const jobs::MadeFile first = room.make(request).files.at(0);
    write_text(first.file, "mine");
    const auto before = room.names_made();
    const jobs::MakeOutcome refused = room.make(request);
    EXPECT_EQ(refused.ending, Ending::unwritable);
    expect_a_sentence(refused.sentence, first.file.filename().string());
    EXPECT_THAT(refused.sentence, HasSubstr("Have it replaced"));
    EXPECT_EQ(support::file_bytes(first.file).size(), 4u);
    EXPECT_EQ(room.names_made(), before);
    request.replace = true;
    const jobs::MakeOutcome replaced = room.make(request);
    EXPECT_EQ(replaced.ending, Ending::done);
    EXPECT_EQ(replaced.files.at(0).sha256, first.sha256);
    EXPECT_EQ(room.names_made(), before);
}

TEST(bad_wish, names_what_is_possible) {
    struct Case {
        Words words;
        std::string hint;
    };
    Workroom room;
    const fs::path picture = room.tiff("ridge.tif", scene(small, 3, 8));
    for (const Case& wrong :
         {Case{{{"medium", "papier"}}, "paper"}, Case{{{"shop", "tset"}}, "test"}, Case{{{"medium", "xylophone"}}, ""},
          Case{{{"medium", "canvas"}, {"size", "7x5in"}}, "3 x 2"}, Case{{{"size", "40x30m"}}, ""},
          Case{{{"medium", "upload"}, {"format", "tiff"}}, "JPEG"}, Case{{{"crop", "50,50,90,60"}}, "crop"},
          Case{{{"border", "40mm"}}, "border"}, Case{{{"medium", "canvas"}, {"compression", "lzw"}}, "lzw"},
          Case{{{"wrap", "mirror"}}, ""}}) {
        SCOPED_TRACE(wrong.words.back().second);
        const jobs::MakeOutcome outcome = room.make(room.request(picture, wrong.words));
        EXPECT_EQ(outcome.ending, Ending::bad_wish) << outcome.sentence;
        std::string lower = outcome.sentence;
        expect_a_sentence(outcome.sentence, "");
        std::transform(lower.begin(), lower.end(), lower.begin(),
                       [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
        std::string hint = wrong.hint;
        std::transform(hint.begin(), hint.end(), hint.begin(),
                       [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
        EXPECT_THAT(lower, HasSubstr(hint));
        EXPECT_THAT(room.names_made(), IsEmpty());
    }
}

TEST(plan_of_another_picture, is_refused) {
    Workroom room;
    const jobs::MadeFile made = room.made(room.tiff("ridge.tif", scene(small, 3, 8)));
    jobs::MakeRequest request = room.request(room.tiff("other.tif", scene(small, 3, 8, 2)));
    request.plan = made.plan;
    request.replace = true;
    const jobs::MakeOutcome outcome = room.make(request);
    EXPECT_EQ(outcome.ending, Ending::unreadable);
    expect_a_sentence(outcome.sentence, "other.tif");
}

TEST(saved_plan, makes_the_same_file_and_is_not_written_over) {
    Workroom room;
    const fs::path picture = room.tiff("ridge.tif", scene(small, 3, 8));
    jobs::MakeRequest request = room.request(picture);
    request.save_plan = room.root() / "plan.toml";
    const jobs::MadeFile made = room.make(request).files.at(0);
    request = room.request(picture);
    request.plan = made.plan;
    request.replace = true;
    EXPECT_EQ(room.make(request).files.at(0).sha256, made.sha256);
    jobs::Context context = room.context();
    EXPECT_TRUE(jobs::verify(made.file, room.root() / "plan.toml", context).matches);

    request = room.request(picture, {{"size", "2x2in"}});
    request.save_plan = room.root() / "plan.toml";
    const jobs::MakeOutcome taken = room.make(request);
    EXPECT_EQ(taken.ending, Ending::unwritable);
    expect_a_sentence(taken.sentence, "plan.toml");
}

TEST(too_few_pixels, is_refused_by_a_check_with_a_way_out_and_leaves_nothing) {
    Workroom room;
    const jobs::MakeOutcome outcome = room.make(room.request(room.tiff("tiny.tif", scene({15, 10}, 3, 8))));
    EXPECT_EQ(outcome.ending, Ending::refused);
    expect_a_sentence(outcome.sentence, "");
    EXPECT_FALSE(outcome.findings.empty());
    EXPECT_THAT(room.names_made(), IsEmpty());
}

TEST(cancelled_make, leaves_nothing_and_the_rest_of_the_list_ends_as_cancelled) {
    Workroom room;
    const jobs::MakeRequest request = room.request(room.tiff("ridge.tif", scene(small, 3, 8)));
    room.progress().cancel();
    jobs::Context context = room.context();
    const jobs::MakeSummary summary = jobs::make({request, request}, context);
    for (const jobs::MakeOutcome& outcome : summary.outcomes) EXPECT_EQ(outcome.ending, Ending::cancelled);
    EXPECT_THAT(room.names_made(), IsEmpty());
}

}  // namespace
}  // namespace hangtrue::jobs_test
