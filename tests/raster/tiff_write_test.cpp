// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <tiffio.h>

#include <array>
#include <cerrno>
#include <cstdarg>
#include <thread>

#include "engine/base/error.h"
#include "engine/raster/strip_encoder.h"
#include "engine/raster/tiff_directory.h"
#include "tests/raster/written_files.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {
namespace {

using support::Seeded;
using support::TemporaryFolder;

struct Case {
    PrintTags tags;
    TiffForm form;
};

std::vector<Case> all_forms(std::mt19937_64& random) {
    std::vector<Case> cases;
    for (const int bits : {8, 16}) {
        for (const TiffCompression compression :
             {TiffCompression::none, TiffCompression::lzw, TiffCompression::deflate}) {
            for (const bool big : {false, true}) {
                for (const int rows : {1, 4, 64}) {
                    PrintTags tags;
                    tags.size = {37, 23};
                    tags.bits = bits;
                    tags.ppi = {157.48};
                    tags.icc_profile = random_bytes(531, random);
                    tags.author = "Ada Löwe";
                    tags.copyright = "© 2026 Ada Löwe";
                    cases.push_back({tags, {compression, big, rows}});
                }
            }
        }
    }
    return cases;
}

/// A TIFF as libtiff, which had no part in writing it, sees it.
class SeenByLibtiff {
  public:
    explicit SeenByLibtiff(const std::filesystem::path& name) {
        TIFFSetWarningHandler(
            [](const char*, const char* text, va_list) { ADD_FAILURE() << "libtiff warns: " << text; });
        TIFFSetErrorHandler([](const char*, const char* text, va_list) { ADD_FAILURE() << "libtiff: " << text; });
        m_tiff = TIFFOpen(name.c_str(), "r");
    }
    ~SeenByLibtiff() {
        if (m_tiff != nullptr) TIFFClose(m_tiff);
        TIFFSetWarningHandler(nullptr);
        TIFFSetErrorHandler(nullptr);
    }
    SeenByLibtiff(const SeenByLibtiff&) = delete;
    SeenByLibtiff& operator=(const SeenByLibtiff&) = delete;
    bool is_open() const { return m_tiff != nullptr; }
    bool is_big() const { return TIFFIsBigTIFF(m_tiff) != 0; }
    bool is_last() const { return TIFFLastDirectory(m_tiff) != 0; }

    template <typename T>
    T value(std::uint32_t tag) const {
        T result{};
        EXPECT_EQ(TIFFGetField(m_tiff, tag, &result), 1) << "tag " << tag;
        return result;
    }
    /// Whether the file itself has the tag.
    bool says(std::uint32_t tag) const {
        float fraction = 0;
        return TIFFGetField(m_tiff, tag, &fraction) == 1;
    }
    std::string text(std::uint32_t tag) const {
        const char* found = nullptr;
        return TIFFGetField(m_tiff, tag, &found) == 1 ? found : "";
    }
    std::vector<std::byte> profile() const {
        std::uint32_t size = 0;
        const std::byte* data = nullptr;
        if (TIFFGetField(m_tiff, TIFFTAG_ICCPROFILE, &size, &data) != 1) return {};
        return {data, data + size};
    }
    std::vector<std::byte> samples(std::size_t row_bytes, int rows) const {
        std::vector<std::byte> result(row_bytes * static_cast<std::size_t>(rows));
        for (int row = 0; row < rows; ++row) {
            EXPECT_EQ(TIFFReadScanline(m_tiff, result.data() + row_bytes * static_cast<std::size_t>(row),
                                       static_cast<std::uint32_t>(row), 0),
                      1);
        }
        return result;
    }

  private:
    TIFF* m_tiff = nullptr;
};

TEST(tiff_write, libtiff_reads_every_form_sample_for_sample_and_tag_for_tag) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    for (const Case& one : all_forms(random)) {
        SCOPED_TRACE(testing::Message() << one.tags.bits << " bit, compression "
                                        << static_cast<int>(one.form.compression) << ", big " << one.form.big
                                        << ", rows " << one.form.rows_per_strip);
        const auto samples = noisy_ramp(one.tags, random);
        const auto name = folder.path() / "print.tif";
        write_tiff(name, one.tags, one.form, samples);
        const SeenByLibtiff seen(name);
        ASSERT_TRUE(seen.is_open());
        EXPECT_EQ(seen.is_big(), one.form.big);
        EXPECT_TRUE(seen.is_last());
        EXPECT_EQ(seen.value<std::uint32_t>(TIFFTAG_IMAGEWIDTH), 37U);
        EXPECT_EQ(seen.value<std::uint32_t>(TIFFTAG_IMAGELENGTH), 23U);
        EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_BITSPERSAMPLE), one.tags.bits);
        EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_SAMPLESPERPIXEL), 3);
        EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_PHOTOMETRIC), PHOTOMETRIC_RGB);
        EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_PLANARCONFIG), PLANARCONFIG_CONTIG);
        EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_ORIENTATION), ORIENTATION_TOPLEFT);
        EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_RESOLUTIONUNIT), RESUNIT_INCH);
        EXPECT_EQ(seen.value<float>(TIFFTAG_XRESOLUTION), 157.48F);
        EXPECT_EQ(seen.value<float>(TIFFTAG_YRESOLUTION), 157.48F);
        EXPECT_EQ(seen.text(TIFFTAG_ARTIST), one.tags.author);
        EXPECT_EQ(seen.text(TIFFTAG_COPYRIGHT), one.tags.copyright);
        EXPECT_EQ(seen.profile(), one.tags.icc_profile);
        EXPECT_EQ(seen.samples(bytes_per_row(one.tags), 23), samples);
    }
}

TEST(tiff_write, the_length_is_told_exactly_without_and_at_most_with_compression) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    for (const Case& one : all_forms(random)) {
        // Noise is the worst that a compressor can meet.
        const auto samples = random_bytes(bytes_per_row(one.tags) * 23, random);
        const auto name = folder.path() / "print.tif";
        write_tiff(name, one.tags, one.form, samples);
        const auto bytes = static_cast<std::int64_t>(std::filesystem::file_size(name));
        if (one.form.compression == TiffCompression::none) {
            EXPECT_EQ(bytes, tiff_bytes_at_most(one.tags, one.form));
        } else {
            EXPECT_LE(bytes, tiff_bytes_at_most(one.tags, one.form));
        }
    }
}

TEST(tiff_write, same_samples_give_the_same_bytes_whatever_the_rows_per_call) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {19, 40};
    tags.ppi = {150};
    const TiffForm form{TiffCompression::none, false, 8};
    const auto samples = noisy_ramp(tags, random);
    write_tiff(folder.path() / "a.tif", tags, form, samples);
    base::Faults faults;
    base::OutputFile file(folder.path() / "b.tif", base::OutputFile::Existing::refuse, faults);
    TiffWriter writer(file, tags, form);
    writer.append_rows(samples);
    writer.finish();
    file.sync();
    file.name_it();
    EXPECT_EQ(file_bytes(folder.path() / "a.tif"), file_bytes(folder.path() / "b.tif"));
}

TEST(tiff_write, strips_encoded_on_four_threads_are_those_of_one) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {301, 64};
    tags.bits = 16;
    tags.ppi = {150};
    const auto samples = noisy_ramp(tags, random);
    for (const TiffCompression compression : {TiffCompression::lzw, TiffCompression::deflate}) {
        base::Faults faults;
        base::OutputFile file(folder.path() / "print.tif", base::OutputFile::Existing::refuse, faults);
        const TiffWriter writer(file, tags, {compression, false, 16});
        const std::size_t strip = bytes_per_row(tags) * 16;
        std::array<std::vector<std::byte>, 4> encoded;
        {
            std::vector<std::jthread> threads;
            for (std::size_t i = 0; i < 4; ++i) {
                threads.emplace_back(
                    [&, i] { encoded[i] = writer.encoded_strip(std::span(samples).subspan(i * strip, strip)); });
            }
        }
        for (std::size_t i = 0; i < 4; ++i) {
            EXPECT_EQ(encoded[i], writer.encoded_strip(std::span(samples).subspan(i * strip, strip)));
        }
    }
}

TEST(tiff_write, a_grey_strip_of_a_million_bytes_shrinks_50_fold_and_comes_back) {
    // Long runs fill the string table with ever longer strings and clear it: libtiff must agree on each step.
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {1000, 334};
    tags.ppi = {150};
    const std::vector<std::byte> samples(bytes_per_row(tags) * 334, std::byte{0x55});
    const auto name = folder.path() / "grey.tif";
    write_tiff(name, tags, {TiffCompression::lzw, false, 334}, samples);
    EXPECT_LT(std::filesystem::file_size(name), samples.size() / 50);
    const SeenByLibtiff seen(name);
    EXPECT_EQ(seen.samples(bytes_per_row(tags), 334), samples);
}

TEST(tiff_write, lzw_of_the_example_in_the_tiff_specification) {
    // TIFF 6.0, section 13: 7 7 7 8 8 7 7 6 6 becomes the codes 256 7 258 8 8 258 6 6 257 (from memory), 9 bits
    // each. Packed by hand below, code by code.
    const std::vector<int> bytes{7, 7, 7, 8, 8, 7, 7, 6, 6};
    std::vector<std::byte> input;
    for (const int byte : bytes) input.push_back(static_cast<std::byte>(byte));
    std::string bits;
    for (const int code : {256, 7, 258, 8, 8, 258, 6, 6, 257}) {
        for (int bit = 8; bit >= 0; --bit) bits += (code >> bit & 1) != 0 ? '1' : '0';
    }
    std::vector<std::byte> expected;
    for (std::size_t at = 0; at < bits.size(); at += 8) {
        std::string eight = bits.substr(at, 8);
        eight.resize(8, '0');
        expected.push_back(static_cast<std::byte>(std::stoi(eight, nullptr, 2)));
    }
    EXPECT_EQ(lzw_encoded(input), expected);
}

TEST(tiff_write, fractions_are_exact_for_every_ppi_with_up_to_four_decimals) {
    EXPECT_EQ(as_rational(150), (Rational{150, 1}));
    EXPECT_EQ(as_rational(157.5), (Rational{315, 2}));
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int i = 0; i < 20000; ++i) {
        const double ppi = static_cast<double>(1 + random() % 30000000) / 10000;
        const Rational found = as_rational(ppi);
        EXPECT_EQ(static_cast<double>(found.numerator) / found.denominator, ppi);
    }
}

TEST(tiff_write, a_classic_tiff_over_4_gib_is_refused_before_the_first_pixel) {
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {36000, 28000};
    tags.bits = 16;
    tags.ppi = {200};
    base::Faults faults;
    base::OutputFile file(folder.path() / "huge.tif", base::OutputFile::Existing::refuse, faults);
    try {
        const TiffWriter writer(file, tags, {TiffCompression::none, false, 64});
        FAIL() << "not refused";
    } catch (const base::WriteFailed& failure) {
        EXPECT_THAT(failure.what(), testing::HasSubstr("4 GiB"));
    }
    EXPECT_EQ(file.size(), 0);
    EXPECT_GT(tiff_bytes_at_most(tags, {TiffCompression::none, true, 64}), 36000LL * 28000 * 6);
}

TEST(tiff_write, a_compressed_classic_tiff_is_refused_where_it_would_pass_4_gib) {
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {4, 4};
    tags.ppi = {200};
    const std::vector<std::byte> hole_end(1);
    for (const bool big : {false, true}) {
        base::Faults faults;
        base::OutputFile file(folder.path() / "huge.tif", base::OutputFile::Existing::refuse, faults);
        TiffWriter writer(file, tags, {TiffCompression::lzw, big, 2});
        // A hole, which takes no room, stands in for the strips before.
        file.write_at(hole_end, classic_tiff_limit - 10);
        const auto append = [&] { writer.append_encoded(std::vector<std::byte>(20)); };
        if (big) {
            EXPECT_NO_THROW(append());
        } else {
            EXPECT_THROW(append(), base::WriteFailed);
        }
    }
}

/// Notes the steps, and fails the call number `fail_at` with `error_number`.
class Breaking : public base::Faults {
  public:
    int fail_at = -1;
    int error_number = 0;
    std::vector<base::Step> steps;
    int writes = 0;
    void reached(base::Step step) override { steps.push_back(step); }
    int failing(base::Call call) override {
        return call == base::Call::write && writes++ == fail_at ? error_number : 0;
    }
};

TEST(tiff_write, half_written_and_written_are_each_reached_once) {
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {4, 9};
    tags.ppi = {150};
    const std::vector<std::byte> samples(bytes_per_row(tags) * 9);
    for (const TiffCompression compression : {TiffCompression::none, TiffCompression::lzw}) {
        Breaking faults;
        base::OutputFile file(folder.path() / "print.tif", base::OutputFile::Existing::refuse, faults);
        append_tiff(file, tags, {compression, false, 2}, samples);
        using base::Step;
        EXPECT_EQ(faults.steps, (std::vector{Step::temporary_made, Step::half_written, Step::written}));
    }
}

TEST(tiff_write, rows_cost_one_write_a_call) {
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {4, 64};
    tags.ppi = {150};
    Breaking faults;
    base::OutputFile file(folder.path() / "print.tif", base::OutputFile::Existing::refuse, faults);
    append_tiff(file, tags, {TiffCompression::none, false, 16}, std::vector<std::byte>(bytes_per_row(tags) * 64));
    EXPECT_EQ(faults.writes, 1 + 4);  // the header and directory, four runs of rows
}

TEST(tiff_write, a_full_disk_and_a_lost_drive_at_any_write_leave_nothing_under_the_name) {
    const TemporaryFolder folder;
    PrintTags tags;
    tags.size = {4, 9};
    tags.ppi = {150};
    const std::vector<std::byte> samples(bytes_per_row(tags) * 9);
    for (const TiffCompression compression : {TiffCompression::none, TiffCompression::deflate}) {
        const int writes = compression == TiffCompression::none ? 6 : 7;  // directory, 5 strips, directory again
        for (const int error_number : {ENOSPC, EIO}) {
            for (int fail_at = 0; fail_at < writes; ++fail_at) {
                Breaking faults;
                faults.fail_at = fail_at;
                faults.error_number = error_number;
                const auto attempt = [&] {
                    base::OutputFile file(folder.path() / "print.tif", base::OutputFile::Existing::refuse, faults);
                    append_tiff(file, tags, {compression, false, 2}, samples);
                };
                EXPECT_THROW(attempt(), base::WriteFailed) << fail_at;
                EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
            }
        }
    }
}

TEST(tiff_write, grey_is_one_channel_and_no_ppi_no_resolution_tags) {
    const Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const TemporaryFolder folder;
    const auto name = folder.path() / "grey.tif";
    for (const int bits : {8, 16}) {
        for (const bool big : {false, true}) {
            PrintTags tags;
            tags.size = {37, 23};
            tags.bits = bits;
            tags.channels = 1;
            const TiffForm form{TiffCompression::none, big, 4};
            const std::size_t row = static_cast<std::size_t>(37 * bits / 8);
            const auto samples = random_bytes(23 * row, random);
            base::Faults faults;
            base::OutputFile file(name, base::OutputFile::Existing::replace, faults);
            TiffWriter writer(file, tags, form);
            writer.append_rows(std::span(samples).first(8 * row));
            writer.append_rows(std::span(samples).subspan(8 * row));
            writer.finish();
            file.name_it();
            EXPECT_EQ(static_cast<std::int64_t>(file_bytes(name).size()), tiff_bytes_at_most(tags, form));
            const SeenByLibtiff seen(name);
            ASSERT_TRUE(seen.is_open());
            EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_SAMPLESPERPIXEL), 1);
            EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_BITSPERSAMPLE), bits);
            EXPECT_EQ(seen.value<std::uint16_t>(TIFFTAG_PHOTOMETRIC), PHOTOMETRIC_MINISBLACK);
            EXPECT_FALSE(seen.says(TIFFTAG_XRESOLUTION));
            EXPECT_FALSE(seen.says(TIFFTAG_YRESOLUTION));
            EXPECT_FALSE(seen.says(TIFFTAG_RESOLUTIONUNIT));
            EXPECT_EQ(seen.samples(row, 23), samples);
        }
    }
}

}  // namespace
}  // namespace hangtrue::raster
