// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Opening a picture file and reading its rows.
///
/// Rows come upright (the stored orientation undone), interleaved, in the file's own depth and encoding;
/// 16-bit samples in the machine's byte order. One thread at a time per reader; different readers at once.
/// The picture file is opened for reading only and never touched otherwise.

#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/base/faults.h"
#include "engine/base/progress.h"
#include "engine/base/units.h"

namespace hangtrue::raster {

enum class FileFormat { tiff, jpeg, png };

/// What the samples are. Palettes, 1, 2 and 4-bit grey and white-is-zero are converted (see notes); CMYK,
/// alpha, signed, floating-point and 32-bit samples and raw files are refused with the way out.
///
/// lab comes in the encodings of ICC.1:2010 (version 4), whatever the file's own: 8 bit L* 255/100, a* + 128,
/// b* + 128; 16 bit L* 65535/100, (a* + 128) * 257, (b* + 128) * 257; a* and b* above 127 are cut there.
enum class SampleModel { grey, rgb, lab };

struct PictureInfo {
    FileFormat format = FileFormat::tiff;
    base::PixelSize size;  ///< Upright.
    SampleModel model = SampleModel::rgb;
    int bits = 8;             ///< 8 or 16 a sample.
    base::PixelsPerInch ppi;  ///< As the file says; 0 where it says nothing, or not the same across and down.
    /// How coarsely the luminance was coded: the factor on JPEG's example table (ITU-T T.81 K.1), the mean over its 64
    /// steps; 0 for files that are no JPEG.
    double jpeg_coding = 0;
    int orientation = 1;  ///< As stored in the file (TIFF 6.0 tag 274), 1 to 8; already undone in the rows.
    std::vector<std::byte> icc_profile;  ///< Empty where the file has none.
    std::string copyright;               ///< UTF-8; from Exif/TIFF, XMP or IPTC; empty where the file says nothing.
    std::string author;                  ///< UTF-8, likewise.
    std::string notes;  ///< What was converted on reading, for the user ("1-bit, read as grey"); mostly empty.

    int channels() const { return model == SampleModel::grey ? 1 : 3; }
    std::size_t bytes_per_pixel() const { return static_cast<std::size_t>(channels() * bits / 8); }
    std::size_t bytes_per_row() const { return bytes_per_pixel() * static_cast<std::size_t>(size.width); }
};

/// What a file says of its resolution as one number: 0 unless both sides say the same, and something possible.
base::PixelsPerInch stated_ppi(double across, double down);

class RowReader {
  public:
    virtual ~RowReader() = default;
    const PictureInfo& info() const { return m_info; }

    /// Fills `out` (count * bytes_per_row()) with rows [first, first + count). Forwards is cheap, skipped rows
    /// cost their decoding; a step back starts the file anew unless it can be read at any place.
    /// Throws UnreadableInput, Cancelled.
    virtual void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) = 0;

    /// Bytes of anonymous memory that the decoder itself keeps for the whole picture (progressive JPEG,
    /// interlaced PNG); 0 for all that is read row by row.
    virtual std::int64_t decoder_bytes() const { return 0; }

    /// Bytes spilled to an unnamed scratch file, 0 where none was needed.
    virtual std::int64_t spilled_bytes() const { return 0; }

  protected:
    PictureInfo m_info;
};

struct OpenOptions {
    /// Where an unnamed scratch file may be made for pictures that cannot be read in strips (turned by a
    /// quarter, …): beside the output.
    std::filesystem::path scratch_folder;
    base::Faults& faults;
};

/// Opens a TIFF, JPEG or PNG by its content, not its name. Reads the whole picture where it must be spilled
/// first: turned by a quarter, or upside down and readable only from the top. Throws UnreadableInput: missing,
/// a folder, empty, no permission, no picture, cut short, a kind that is refused (with its reason and the way
/// out), a side over 300,000 pixels, more than 2^31 - 1 pixels, or more than a file of its length can hold;
/// a progressive JPEG or interlaced PNG that needs over 4 GiB. WriteFailed: no room to spill. Cancelled.
std::unique_ptr<RowReader> open_picture(const std::filesystem::path& file, const OpenOptions& options,
                                        base::Progress& progress);

/// Only the header: quick, reads no samples. Throws like open_picture.
PictureInfo picture_info(const std::filesystem::path& file);

}  // namespace hangtrue::raster
