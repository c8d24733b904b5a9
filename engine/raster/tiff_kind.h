// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the directory of a TIFF says about its samples, judged: usable as it is, usable after a conversion,
/// or refused with the reason and the way out.

#include <cstdint>
#include <string>
#include <vector>

#include "engine/raster/row_reader.h"
#include "engine/raster/tiff_file.h"

namespace hangtrue::raster {

/// From the samples in the file to those of PictureInfo.
enum class Conversion {
    none,
    white_is_zero,  ///< Grey, 8 or 16 bit, inverted.
    few_bits,       ///< 1, 2 or 4-bit grey to 8 bit.
    few_bits_inverted,
    palette_to_8,  ///< Indices of 1, 2, 4 or 8 bit through the colour map.
    palette_to_16,
    lab_8,       ///< TIFF 6.0 CIELab (a and b signed) to ICC Lab8.
    lab_16,      ///< TIFF CIELab of 16 bits to ICC.1:2010 (version 4) Lab16.
    icc_lab_16,  ///< Photometric 9: ICC.1:2001 (version 2) Lab16 to version 4.
};

struct TiffKind {
    int width = 0;
    int height = 0;
    int bits = 8;     ///< A sample, as stored.
    int samples = 1;  ///< A pixel, as stored.
    bool separate_planes = false;
    bool tiled = false;
    std::uint16_t compression = 1;
    bool bits_reversed = false;  ///< FillOrder 2.
    Conversion conversion = Conversion::none;
    SampleModel model = SampleModel::rgb;
    std::vector<std::uint16_t> colour_map;  ///< Red, green, blue in turn for each index, 16 bit; for palettes.
    std::string notes;

    /// Bits of the samples handed out.
    int bits_out() const { return bits == 16 || conversion == Conversion::palette_to_16 ? 16 : 8; }
    /// Bytes of a stored row: of one plane where they are separate.
    std::size_t stored_bytes_per_row() const {
        const std::size_t in_row = static_cast<std::size_t>(separate_planes ? 1 : samples);
        return (static_cast<std::size_t>(width) * in_row * static_cast<std::size_t>(bits) + 7) / 8;
    }
};

/// Throws UnreadableInput. Switches the JPEG codec to RGB where it is used.
TiffKind judged(TiffFile& tiff);

/// One row of samples as stored (16-bit ones in the machine's byte order) to those handed out.
void convert_row(const TiffKind& kind, std::span<const std::byte> stored, std::span<std::byte> out);

}  // namespace hangtrue::raster
