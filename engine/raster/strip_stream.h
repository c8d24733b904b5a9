// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A compressed TIFF strip decoded as it is read: for pictures in one strip, where libtiff would first load
/// the whole strip. LZW (TIFF 6.0, section 13), deflate (RFC 1950) and PackBits (TIFF 6.0, section 9).

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "engine/raster/picture_file.h"

namespace hangtrue::raster {

/// The bytes of one strip in the file, in pieces.
class StripBytes {
  public:
    StripBytes(const PictureFile& file, std::int64_t offset, std::int64_t length);

    /// The next piece; empty at the strip's end. Valid until the next call.
    std::span<const std::byte> next_piece();
    const PictureFile& file() const { return *m_file; }

  private:
    const PictureFile* m_file;
    std::int64_t m_offset;
    std::int64_t m_left;
    std::vector<std::byte> m_piece;
};

class StripStream {
  public:
    virtual ~StripStream() = default;

    /// Fills `out` with the next decoded bytes; throws UnreadableInput where the strip is damaged or ends before.
    virtual void read(std::span<std::byte> out) = 0;
};

/// Whether strip_stream knows this compression (libtiff's numbers).
bool has_strip_stream(std::uint16_t compression);

/// The file of `bytes` must outlive the stream.
std::unique_ptr<StripStream> strip_stream(std::uint16_t compression, StripBytes bytes);

/// Undoes TIFF's predictor 2 (section 14) in one row: each sample is the difference to the one `samples`
/// before it. 16-bit samples in the machine's byte order.
void undo_differences(std::span<std::byte> row, int bits, int samples);

}  // namespace hangtrue::raster
