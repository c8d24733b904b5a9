// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A picture made in code, row by row, and files of many kinds that hold it, written through
/// libtiff, libjpeg and libpng: soft waves with fine ones on them and a little noise, seeded, in
/// Adobe RGB (1998).
///
/// Errors end the program with std::runtime_error.

#include <cstdint>
#include <filesystem>
#include <span>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::benchmarks {

/// Makes rows of interleaved R G B, 0 to 65535; any row, each the same every time.
class BenchPicture {
  public:
    explicit BenchPicture(base::PixelSize size);
    base::PixelSize size() const { return m_size; }
    void make_row(int y, std::span<std::uint16_t> samples) const;

  private:
    base::PixelSize m_size;
    std::vector<float> m_fine;         ///< By column, R G B.
    std::vector<float> m_coarse_sine;  ///< By column.
    std::vector<float> m_coarse_cosine;
};

enum class TiffLayout { strips, tiles, one_strip };
enum class TiffCoding { none, lzw, deflate };

struct TiffKind {
    int bits = 16;
    TiffCoding coding = TiffCoding::none;
    TiffLayout layout = TiffLayout::strips;
    int orientation = 1;  ///< TIFF 6.0, tag 274.
};
void write_tiff(const std::filesystem::path& file, const BenchPicture& picture, const TiffKind& kind);

struct JpegKind {
    bool progressive = false;
    bool subsampled = false;  ///< 4:2:0
    int orientation = 1;      ///< In an Exif block.
};
void write_jpeg(const std::filesystem::path& file, const BenchPicture& picture, const JpegKind& kind);

struct PngKind {
    int bits = 8;
    bool interlaced = false;
};
void write_png(const std::filesystem::path& file, const BenchPicture& picture, const PngKind& kind);

}  // namespace hangtrue::benchmarks
