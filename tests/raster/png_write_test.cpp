// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <png.h>

#include <algorithm>
#include <cerrno>

#include "engine/base/error.h"
#include "tests/raster/written_files.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::Seeded;
using support::TemporaryFolder;

/// What libpng reads; 16-bit samples in the machine's byte order.
struct SeenByLibpng {
    png_uint_32 width = 0;
    png_uint_32 height = 0;
    int bits = 0;
    int colour_type = 0;
    std::vector<std::byte> samples;
    std::vector<std::byte> profile;
    png_uint_32 pixels_a_metre = 0;  ///< 0: the file does not say.
};

SeenByLibpng seen_by_libpng(const std::filesystem::path& name) {
    SeenByLibpng seen;
    std::FILE* file = std::fopen(name.c_str(), "rb");
    png_structp png =
        png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr,
                               [](png_structp, png_const_charp text) { ADD_FAILURE() << "libpng warns: " << text; });
    png_infop info = png_create_info_struct(png);
    // The profile of the test is random bytes: libpng is to hand it out, not to judge it.
    png_set_option(png, PNG_SKIP_sRGB_CHECK_PROFILE, PNG_OPTION_ON);
    png_init_io(png, file);
    png_read_info(png, info);
    int interlace = 0;
    png_get_IHDR(png, info, &seen.width, &seen.height, &seen.bits, &seen.colour_type, &interlace, nullptr, nullptr);
    if (seen.bits == 16) png_set_swap(png);
    const std::size_t row_bytes = png_get_rowbytes(png, info);
    seen.samples.resize(row_bytes * seen.height);
    for (png_uint_32 row = 0; row < seen.height; ++row) {
        png_read_row(png, reinterpret_cast<png_bytep>(seen.samples.data() + row_bytes * row), nullptr);
    }
    png_read_end(png, info);
    seen.pixels_a_metre = png_get_pixels_per_meter(png, info);
    png_charp profile_name = nullptr;
    int method = 0;
    png_bytep profile = nullptr;
    png_uint_32 size = 0;
    if (png_get_iCCP(png, info, &profile_name, &method, &profile, &size) != 0) {
        const auto bytes = std::as_bytes(std::span(profile, size));
        seen.profile.assign(bytes.begin(), bytes.end());
    }
    png_destroy_read_struct(&png, &info, nullptr);
    std::fclose(file);
    return seen;
}

/// Written `rows_at_once` rows a call.
void write_png(const std::filesystem::path& name, const PngForm& form, const std::vector<std::byte>& samples,
               base::Faults& faults, base::OutputFile::Existing existing = base::OutputFile::Existing::replace,
               int rows_at_once = 7) {
    base::OutputFile file(name, existing, faults);
    PngWriter writer(file, form);
    const std::size_t piece = static_cast<std::size_t>(form.size.width * form.channels * form.bits / 8 * rows_at_once);
    for (std::size_t at = 0; at < samples.size(); at += piece) {
        writer.append_rows(std::span(samples).subspan(at, std::min(piece, samples.size() - at)));
    }
    writer.finish();
    file.sync();
    file.name_it();
}

/// The least header that libpng takes for a profile (ICC.1, clause 7.2): size, version, class, space, signature.
/// And 268 bytes more, because libpng finds shorter chunks too short.
std::vector<std::byte> least_profile(int channels, std::mt19937_64& random) {
    std::vector<std::byte> profile(132);
    const auto rest = random_bytes(268, random);
    profile.insert(profile.end(), rest.begin(), rest.end());
    const auto put = [&](std::size_t at, std::string_view text) {
        std::memcpy(profile.data() + at, text.data(), text.size());
    };
    profile[2] = std::byte{400 >> 8};
    profile[3] = std::byte{400 & 0xff};
    profile[8] = std::byte{2};
    put(12, "mntr");
    put(16, channels == 3 ? "RGB " : "GRAY");
    put(20, "XYZ ");
    put(36, "acsp");
    put(68, std::string_view("\0\0\xf6\xd6\0\1\0\0\0\0\xd3\x2d", 12));
    return profile;
}

TEST(png_write, libpng_reads_grey_and_rgb_of_8_and_16_bit_sample_for_sample) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    base::Faults faults;
    for (const int channels : {1, 3}) {
        for (const int bits : {8, 16}) {
            for (const auto& size : {base::PixelSize{1, 1}, base::PixelSize{37, 23}, base::PixelSize{700, 500}}) {
                const auto count = static_cast<std::size_t>(size.count() * channels * bits / 8);
                const auto samples = random_bytes(count, random);  // the largest fills several IDAT chunks
                const auto profile = least_profile(channels, random);
                const auto name = folder.path() / "view.png";
                write_png(name, {size, channels, bits, {300}, profile}, samples, faults);
                const SeenByLibpng seen = seen_by_libpng(name);
                EXPECT_EQ(static_cast<int>(seen.width), size.width);
                EXPECT_EQ(static_cast<int>(seen.height), size.height);
                EXPECT_EQ(seen.bits, bits);
                EXPECT_EQ(seen.colour_type, channels == 3 ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_GRAY);
                EXPECT_EQ(seen.samples, samples);
                EXPECT_EQ(seen.profile, profile);
                EXPECT_EQ(seen.pixels_a_metre, 11811U);  // 300 / 0.0254, rounded
            }
        }
    }
}

TEST(png_write, same_samples_give_the_same_bytes_however_many_rows_come_at_once_and_a_ramp_shrinks) {
    const TemporaryFolder folder;
    base::Faults faults;
    std::vector<std::byte> ramp(std::size_t{256} * 256 * 3);
    for (std::size_t i = 0; i < ramp.size(); ++i) ramp[i] = static_cast<std::byte>(i / 3 % 256);
    write_png(folder.path() / "a.png", {{256, 256}, 3, 8, {}, {}}, ramp, faults, base::OutputFile::Existing::refuse, 1);
    write_png(folder.path() / "b.png", {{256, 256}, 3, 8, {}, {}}, ramp, faults, base::OutputFile::Existing::refuse,
              256);
    EXPECT_EQ(seen_by_libpng(folder.path() / "a.png").pixels_a_metre, 0U);
    EXPECT_EQ(file_bytes(folder.path() / "a.png"), file_bytes(folder.path() / "b.png"));
    EXPECT_LT(file_bytes(folder.path() / "a.png").size(), ramp.size() / 100);
}

TEST(png_write, a_full_disk_leaves_nothing_and_a_taken_name_is_refused) {
    class Full : public base::Faults {
        int failing(base::Call call) override { return call == base::Call::write ? ENOSPC : 0; }
    };
    const TemporaryFolder folder;
    const std::vector<std::byte> samples(12);
    const auto name = folder.path() / "view.png";
    Full full;
    const PngForm form{{2, 2}, 3, 8, {}, {}};
    const auto refuse = base::OutputFile::Existing::refuse;
    EXPECT_THROW(write_png(name, form, samples, full, refuse), base::WriteFailed);
    EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
    base::Faults faults;
    write_png(name, form, samples, faults, refuse);
    EXPECT_THROW(write_png(name, form, samples, faults, refuse), base::WriteFailed);
}

}  // namespace
}  // namespace hangtrue::raster
