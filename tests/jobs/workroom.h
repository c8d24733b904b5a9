// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A photographer's folders for the tests of jobs: pictures, an output folder, a shop of small and quick sizes, an
/// empty ledger; and what libtiff, libjpeg and libpng read of files, so that nobody's own reader judges itself.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <png.h>
#include <tiffio.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "engine/jobs/look.h"
#include "engine/jobs/make.h"
#include "engine/jobs/verify.h"
#include "engine/raster/row_reader.h"
#include "tests/support/pictures.h"
#include "tests/support/shop_text.h"
#include "tests/support/temporary_folder.h"

#if defined(__SANITIZE_THREAD__)
#define HANGTRUE_UNDER_TSAN 1
#else
#define HANGTRUE_UNDER_TSAN 0
#endif

namespace hangtrue::jobs_test {

namespace fs = std::filesystem;
using Words = std::vector<std::pair<std::string, std::string>>;

/// Paper in a listed size or cut to order, canvas whose edges are in the file, and an upload of JPEGs of 20 kB.
inline std::string test_shop() {
    support::ShopMedium paper = support::plain_paper("paper");
    paper.file += "big_tiff = true\n";
    paper.free_sizes = "least_side = \"20 mm\"\nmost_short_side = \"10 m\"\nmost_long_side = \"20 m\"\n";
    const support::ShopMedium canvas = support::wrapped_canvas("canvas");
    support::ShopMedium upload;
    upload.id = "upload";
    upload.name = "Small upload";
    upload.blur = "silver-halide";
    upload.file = "formats = [\"jpeg\"]\nmost_bytes = 20_000\n";
    upload.sizes = {{"3 x 2", "3 x 2 in", "1.50"}};
    return support::shop_text("Test Prints", "postage = 5.00\n", {paper, canvas, upload});
}

/// Time stands still until a test moves it.
class StillClock : public base::Clock {
  public:
    std::chrono::system_clock::time_point now() const override { return time; }
    std::chrono::system_clock::time_point time = std::chrono::sys_days{std::chrono::year{2026} / 3 / 14};
};

/// Smooth shapes with a little noise, like a photograph: no two rows or columns alike.
inline support::TestPicture scene(base::PixelSize size, int channels, int bits, std::uint64_t seed = 1) {
    support::TestPicture picture = support::gradient(size, channels, bits);
    std::mt19937_64 random(seed);
    const int step = picture.white() / 32;
    for (std::uint16_t& sample : picture.samples) {
        const int moved = sample + static_cast<int>(random() % static_cast<unsigned>(2 * step + 1)) - step;
        sample = static_cast<std::uint16_t>(std::clamp(moved, 0, static_cast<int>(picture.white())));
    }
    return picture;
}

/// Every print is synced to the disk, which on a slow one takes most of a test's time: in memory where there is a
/// file system for that.
inline void work_in_memory() {
    if (access("/dev/shm", W_OK) == 0) setenv("TMPDIR", "/dev/shm", 0);
}

class Workroom {
  public:
    Workroom() {
        fs::create_directories(data() / "shops");
        fs::create_directory(out());
        fs::create_directory(pictures());
        const std::string shop = test_shop();
        support::write_bytes(data() / "shops/test.toml", std::as_bytes(std::span(shop)));
    }

    fs::path root() const { return m_folder->path(); }
    fs::path data() const { return root() / "data"; }
    fs::path out() const { return root() / "out"; }
    fs::path pictures() const { return root() / "pictures"; }
    fs::path models() const { return root() / "models"; }  ///< Not made: most tests need no weights.

    /// A TIFF of `picture` in the pictures folder.
    fs::path tiff(const std::string& name, const support::TestPicture& picture, support::TiffWish wish = {}) const {
        if (picture.channels == 1) wish.photometric = PHOTOMETRIC_MINISBLACK;
        support::write_tiff(pictures() / name, picture, wish);
        return pictures() / name;
    }

    jobs::Context context(int threads = 2) {
        return {.data_folder = data(),
                .models_folder = models(),
                .threads = threads,
                .units = base::ShownUnits::inches,
                .progress = m_progress,
                .faults = faults ? *faults : m_no_faults,
                .clock = clock};
    }

    /// 3 x 2 in on plain paper, 180 x 120 pixels, by the filter, unless `words` say otherwise.
    jobs::MakeRequest request(const fs::path& picture, const Words& words = {}) const {
        jobs::MakeRequest request;
        request.picture = picture;
        request.to = out();
        request.wish = wish(words);
        return request;
    }
    static plan::Wish wish(const Words& words) {
        plan::Wish result;
        for (const auto& [key, value] :
             Words{{"shop", "test"}, {"medium", "paper"}, {"size", "3x2in"}, {"enlarge", "filter"}}) {
            jobs::set_wish_word(result, key, value);
        }
        for (const auto& [key, value] : words) jobs::set_wish_word(result, key, value);
        return result;
    }

    jobs::MakeOutcome make(const jobs::MakeRequest& request, int threads = 2) {
        jobs::Context with = context(threads);
        return jobs::make({request}, with).outcomes.at(0);
    }
    /// The one file that must come of it.
    jobs::MadeFile made(const fs::path& picture, const Words& words = {}, bool replace = true, int threads = 2) {
        jobs::MakeRequest wanted = request(picture, words);
        wanted.replace = replace;
        const jobs::MakeOutcome outcome = make(wanted, threads);
        EXPECT_EQ(outcome.ending, jobs::Ending::done) << outcome.sentence;
        return outcome.files.at(0);
    }

    /// Names in the output folder, hidden ones too, sorted.
    std::vector<std::string> names_made() const {
        std::vector<std::string> names;
        for (const auto& entry : fs::directory_iterator(out())) names.push_back(entry.path().filename().string());
        std::sort(names.begin(), names.end());
        return names;
    }

    base::Progress& progress() { return m_progress; }
    StillClock clock;
    base::Faults* faults = nullptr;

  private:
    std::unique_ptr<support::TemporaryFolder> m_folder = [] {
        work_in_memory();
        return std::make_unique<support::TemporaryFolder>();
    }();
    base::Progress m_progress;
    base::Faults m_no_faults;
};

struct CloseTiff {
    void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
using OpenTiff = std::unique_ptr<TIFF, CloseTiff>;

/// Scanline by scanline through libtiff.
inline support::TestPicture read_tiff(const fs::path& file) {
    const OpenTiff tiff(TIFFOpen(file.c_str(), "r"));
    if (tiff == nullptr) throw std::runtime_error("libtiff does not open " + file.string());
    std::uint32_t width = 0, height = 0;
    std::uint16_t bits = 0, channels = 0;
    TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &width);
    TIFFGetField(tiff.get(), TIFFTAG_IMAGELENGTH, &height);
    TIFFGetField(tiff.get(), TIFFTAG_BITSPERSAMPLE, &bits);
    TIFFGetField(tiff.get(), TIFFTAG_SAMPLESPERPIXEL, &channels);
    support::TestPicture picture{{static_cast<int>(width), static_cast<int>(height)}, channels, bits, {}};
    std::vector<std::uint16_t> row(static_cast<std::size_t>(TIFFScanlineSize(tiff.get())) / 2 + 1);
    for (std::uint32_t y = 0; y < height; ++y) {
        if (TIFFReadScanline(tiff.get(), row.data(), y) != 1) throw std::runtime_error("libtiff does not read a row");
        const auto* bytes = reinterpret_cast<const std::uint8_t*>(row.data());
        for (std::size_t i = 0; i < std::size_t{width} * channels; ++i) {
            picture.samples.push_back(bits == 16 ? row[i] : bytes[i]);
        }
    }
    return picture;
}

/// Sample for sample through libpng, nothing converted.
inline support::TestPicture read_png(const fs::path& file) {
    std::FILE* stream = std::fopen(file.c_str(), "rb");
    if (stream == nullptr) throw std::runtime_error("cannot open " + file.string());
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png_create_info_struct(png);
    png_init_io(png, stream);
    png_read_png(png, info, PNG_TRANSFORM_SWAP_ENDIAN, nullptr);
    support::TestPicture picture{
        {static_cast<int>(png_get_image_width(png, info)), static_cast<int>(png_get_image_height(png, info))},
        png_get_channels(png, info),
        png_get_bit_depth(png, info),
        {}};
    png_bytepp rows = png_get_rows(png, info);
    const auto count = static_cast<std::size_t>(picture.size.width) * static_cast<std::size_t>(picture.channels);
    for (int y = 0; y < picture.size.height; ++y) {
        for (std::size_t i = 0; i < count; ++i) {
            std::uint16_t sample = rows[y][i];
            if (picture.bits == 16) std::copy_n(rows[y] + 2 * i, 2, reinterpret_cast<std::uint8_t*>(&sample));
            picture.samples.push_back(sample);
        }
    }
    png_destroy_read_struct(&png, &info, nullptr);
    std::fclose(stream);
    return picture;
}

/// `window` of `picture`.
inline support::TestPicture part_of(const support::TestPicture& picture, base::PixelRect window) {
    support::TestPicture part{{window.width, window.height}, picture.channels, picture.bits, {}};
    for (int y = window.y; y < window.bottom(); ++y) {
        for (int x = window.x; x < window.right(); ++x) {
            for (int c = 0; c < picture.channels; ++c) part.samples.push_back(picture.at(x, y, c));
        }
    }
    return part;
}

inline bool in_full() { return std::getenv("HANGTRUE_FULL") != nullptr; }

/// One line, a whole sentence, and it says which file or what.
inline void expect_a_sentence(const std::string& sentence, const std::string& about) {
    EXPECT_THAT(sentence, testing::AnyOf(testing::EndsWith("."), testing::EndsWith("?")));
    EXPECT_THAT(sentence, testing::Not(testing::HasSubstr("\n")));
    EXPECT_THAT(sentence, testing::Not(testing::HasSubstr("mistake of its own")));
    EXPECT_THAT(sentence, testing::HasSubstr(about));
}

}  // namespace hangtrue::jobs_test
