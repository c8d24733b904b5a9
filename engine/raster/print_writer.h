// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Writing samples: print files, TIFF or JPEG, and what `view` and `enlarge` make, PNG or TIFF.
///
/// Samples come interleaved, R G B (or grey alone where that is said), 8 or 16 bit in the machine's byte order, in
/// strips of full rows from the top. `encoded_strip` is thread-safe, so strips are compressed on all cores; `append`
/// goes in order, from one thread.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/base/units.h"
#include "engine/raster/row_reader.h"

namespace hangtrue::raster {

enum class TiffCompression { none, lzw, deflate };

/// All that a print file says besides its samples. Exact: verifying compares each of these with the file.
struct PrintTags {
    base::PixelSize size;
    int bits = 8;                        ///< 8 or 16 (TIFF only).
    int channels = 3;                    ///< RGB; 1, grey, in uncompressed TIFFs that are no print files.
    base::PixelsPerInch ppi;             ///< What the tag says: the shop's ppi. 0, not for print files: no tag.
    std::vector<std::byte> icc_profile;  ///< Embedded; empty: none.
    std::string copyright;  ///< UTF-8 without zero bytes; of the picture's metadata only these two are carried over.
    std::string author;     ///< Likewise.
    friend bool operator==(const PrintTags&, const PrintTags&) = default;
};

struct TiffForm {
    TiffCompression compression = TiffCompression::none;
    bool big = false;         ///< BigTIFF (8-byte offsets); a classic TIFF ends at 4 GiB.
    int rows_per_strip = 64;  ///< A divisor of the block height, so that a strip never waits for two.
};

/// Bytes of the finished file, exactly for uncompressed, at most for compressed samples: what decides between
/// classic and BigTIFF.
std::int64_t tiff_bytes_at_most(const PrintTags& tags, const TiffForm& form);

/// One classic TIFF may hold.
inline constexpr std::int64_t classic_tiff_limit = (std::int64_t{1} << 32) - 1;

/// Header, tags and strips follow one another without a gap, so that the file is read again in one pass.
/// Reaches the fault point half_written when half of the rows are in, written when all is. Same input, same
/// bytes.
class TiffWriter {
  public:
    /// Writes the header and tags; throws WriteFailed, and so do the functions below: the disk, or a
    /// classic file that would pass 4 GiB.
    TiffWriter(base::OutputFile& file, const PrintTags& tags, const TiffForm& form);
    ~TiffWriter();
    TiffWriter(const TiffWriter&) = delete;
    TiffWriter& operator=(const TiffWriter&) = delete;

    /// One strip as it will stand in the file (rows_per_strip rows, the last strip fewer). Thread-safe, and
    /// safe beside the appending thread. For compression none, `append_rows` below avoids the copy.
    std::vector<std::byte> encoded_strip(std::span<const std::byte> samples) const;

    /// The next strip in order, as encoded_strip gave it.
    void append_encoded(std::span<const std::byte> strip);
    /// The next rows, any whole number, uncompressed files only. One write to the disk, no copy.
    void append_rows(std::span<const std::byte> samples);

    /// Completes the directory. The file is then whole, but neither synced nor named.
    void finish();

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

/// Gives 8-bit RGB rows [first, first + count), from the top, for encoders that run more than once. What it
/// throws comes through.
using RowSupply = std::function<void(int first, int count, std::span<std::byte> out)>;

/// Codes a baseline JPEG, 4:4:4, integer slow DCT, quality 1 to 100, with JFIF density (the ppi rounded),
/// Exif copyright and author, and the profile in APP2 chunks. Asks for the rows twice: once to count
/// symbols for Huffman tables of its own, once to code, so that the picture's coefficients are never in
/// memory. Fault points as TiffWriter. Throws WriteFailed (sides over 65500 pixels too), Cancelled.
void write_jpeg(base::OutputFile& file, const PrintTags& tags, int quality, const RowSupply& rows,
                base::Progress& progress);

/// The number of bytes that write_jpeg would write, without writing.
std::int64_t jpeg_bytes(const PrintTags& tags, int quality, const RowSupply& rows, base::Progress& progress);

/// What a PNG says of its samples.
struct PngForm {
    base::PixelSize size;
    int channels = 3;                    ///< 3 (RGB) or 1 (grey).
    int bits = 8;                        ///< 8 or 16.
    base::PixelsPerInch ppi;             ///< 0: it does not say.
    std::vector<std::byte> icc_profile;  ///< Embedded; empty: none.
};

/// A PNG written as its rows come, so that memory holds a few rows of it. Same input, same bytes.
class PngWriter {
  public:
    /// Writes the header; throws WriteFailed, and so do the functions below.
    PngWriter(base::OutputFile& file, const PngForm& form);
    ~PngWriter();
    PngWriter(const PngWriter&) = delete;
    PngWriter& operator=(const PngWriter&) = delete;

    /// The next rows from the top, any whole number.
    void append_rows(std::span<const std::byte> samples);
    /// After the last row. The file is then whole, but neither synced nor named.
    void finish();

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::raster
