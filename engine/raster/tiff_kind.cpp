// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/tiff_kind.h"

#include <algorithm>
#include <cstring>

namespace hangtrue::raster {
namespace {

constexpr const char* no_alpha =
    "it has an alpha channel (transparency), and a print has none. Flatten it, or delete the channel, in your editor.";
constexpr const char* no_raw =
    "it is a raw camera file or only the preview of one. Develop it first, and save it as an RGB TIFF.";

/// What a byte of the file can stand for at most, in bytes of samples; 0 where there is no bound.
double most_bytes_per_byte(std::uint16_t compression) {
    switch (compression) {
        case COMPRESSION_NONE: return 1;
        case COMPRESSION_PACKBITS: return 64;  // 128 equal bytes in two.
        case COMPRESSION_LZW: return 4096;  // A code of 9 to 12 bits for at most as many bytes as the table has rows.
        case COMPRESSION_DEFLATE:
        case COMPRESSION_ADOBE_DEFLATE: return 1032;  // RFC 1951: 258 bytes of 2 bits.
        default: return 0;
    }
}

void require_known_compression(const TiffFile& tiff, std::uint16_t compression, int bits) {
    switch (compression) {
        case COMPRESSION_NONE:
        case COMPRESSION_PACKBITS:
        case COMPRESSION_LZW:
        case COMPRESSION_DEFLATE:
        case COMPRESSION_ADOBE_DEFLATE:
        case COMPRESSION_JPEG:
        case COMPRESSION_LZMA:
        case COMPRESSION_ZSTD:
            if (TIFFIsCODECConfigured(compression) != 0) return;
            break;
        case COMPRESSION_CCITTRLE:
        case COMPRESSION_CCITTFAX3:
        case COMPRESSION_CCITTFAX4:
            if (bits == 1 && TIFFIsCODECConfigured(compression) != 0) return;
            break;
        default: break;
    }
    throw refused(tiff.file().name(), "it is compressed in a way that is not read here (TIFF compression " +
                                          std::to_string(compression) + "). Save it uncompressed or with LZW.");
}

/// 16-bit colour map, interleaved, and whether 8 bits hold all of it.
bool take_colour_map(TiffFile& tiff, TiffKind& kind) {
    std::uint16_t* red = nullptr;
    std::uint16_t* green = nullptr;
    std::uint16_t* blue = nullptr;
    if (TIFFGetField(tiff.get(), TIFFTAG_COLORMAP, &red, &green, &blue) != 1) {
        throw damaged(tiff.file().name(), "its palette is missing");
    }
    const std::size_t count = std::size_t{1} << kind.bits;
    for (std::size_t i = 0; i < count; ++i) {
        for (const std::uint16_t* channel : {red, green, blue}) kind.colour_map.push_back(channel[i]);
    }
    // Some writers put 8-bit values there: then nothing is above 255.
    auto& map = kind.colour_map;
    if (std::all_of(map.begin(), map.end(), [](std::uint16_t value) { return value < 256; })) {
        for (std::uint16_t& value : map) value = static_cast<std::uint16_t>(value * 257);
    }
    const auto is_short = [](std::uint16_t value) { return value % 257 == 0 || value % 256 == 0; };
    return std::all_of(map.begin(), map.end(), is_short);
}

void judge_grey(TiffFile& tiff, TiffKind& kind, bool white_is_zero) {
    kind.model = SampleModel::grey;
    if (kind.bits == 8 || kind.bits == 16) {
        kind.conversion = white_is_zero ? Conversion::white_is_zero : Conversion::none;
    } else if (kind.bits == 1 || kind.bits == 2 || kind.bits == 4) {
        kind.conversion = white_is_zero ? Conversion::few_bits_inverted : Conversion::few_bits;
        kind.notes = std::to_string(kind.bits) + "-bit picture, read as 8-bit grey";
    } else {
        throw refused(tiff.file().name(), "it has " + std::to_string(kind.bits) +
                                              " bits a sample. Save it with 8 or 16 bits in your editor.");
    }
}

void judge_colour(TiffFile& tiff, TiffKind& kind, std::uint16_t photometric) {
    if (kind.bits != 8 && kind.bits != 16) {
        throw refused(tiff.file().name(), "it has " + std::to_string(kind.bits) +
                                              " bits a sample. Save it with 8 or 16 bits in your editor.");
    }
    kind.model =
        photometric == PHOTOMETRIC_RGB || photometric == PHOTOMETRIC_YCBCR ? SampleModel::rgb : SampleModel::lab;
    if (photometric == PHOTOMETRIC_CIELAB) kind.conversion = kind.bits == 8 ? Conversion::lab_8 : Conversion::lab_16;
    if (photometric == PHOTOMETRIC_ICCLAB && kind.bits == 16) kind.conversion = Conversion::icc_lab_16;
}

void judge_palette(TiffFile& tiff, TiffKind& kind) {
    if (kind.bits != 1 && kind.bits != 2 && kind.bits != 4 && kind.bits != 8) {
        throw refused(tiff.file().name(), "it has a palette of a rare size. Save it as RGB in your editor.");
    }
    kind.model = SampleModel::rgb;
    const bool is_8 = take_colour_map(tiff, kind);
    kind.conversion = is_8 ? Conversion::palette_to_8 : Conversion::palette_to_16;
    kind.notes = std::string("palette picture, read as ") + (is_8 ? "8" : "16") + "-bit RGB";
}

/// Samples that a pixel of this kind has without alpha; 0 for kinds that are refused.
int colour_samples(const TiffFile& tiff, std::uint16_t photometric, std::uint16_t compression) {
    const auto& name = tiff.file().name();
    switch (photometric) {
        case PHOTOMETRIC_MINISWHITE:
        case PHOTOMETRIC_MINISBLACK:
        case PHOTOMETRIC_PALETTE: return 1;
        case PHOTOMETRIC_RGB:
        case PHOTOMETRIC_CIELAB:
        case PHOTOMETRIC_ICCLAB: return 3;
        case PHOTOMETRIC_YCBCR:
            if (compression == COMPRESSION_JPEG) return 3;
            throw refused(name,
                          "it holds video colour (YCbCr) without JPEG compression. Save it as RGB in your editor.");
        case PHOTOMETRIC_SEPARATED:
            throw refused(name,
                          "it is in CMYK, inks instead of light. Go back to the RGB original, or convert it to "
                          "Adobe RGB or sRGB in your editor.");
        case PHOTOMETRIC_CFA:
        case 34892:  // LinearRaw (DNG)
            throw refused(name, no_raw);
        case PHOTOMETRIC_MASK: throw refused(name, "it is a mask, not a picture. Save the picture itself.");
        default:
            throw refused(name, "its kind of colour (TIFF photometric " + std::to_string(photometric) +
                                    ") is not read here. Save it as RGB in your editor.");
    }
}

/// Directories and types that tell a raw file or a preview.
void require_a_finished_picture(const TiffFile& tiff) {
    constexpr std::uint32_t reduced = 1;
    const std::uint8_t* version = nullptr;
    const bool is_raw = TIFFGetField(tiff.get(), TIFFTAG_DNGVERSION, &version) == 1;
    if (is_raw || (tiff.long_tag(TIFFTAG_SUBFILETYPE, 0) & reduced) != 0) throw refused(tiff.file().name(), no_raw);
}

void require_whole_numbers(const TiffFile& tiff) {
    const std::uint16_t format = tiff.short_tag(TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_UINT);
    if (format == SAMPLEFORMAT_UINT || format == SAMPLEFORMAT_VOID) return;
    if (format == SAMPLEFORMAT_INT) {
        // Lab files may say so of a and b; there it changes nothing.
        const std::uint16_t photometric = tiff.short_tag(TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
        if (photometric == PHOTOMETRIC_CIELAB) return;
    }
    throw refused(tiff.file().name(),
                  "its samples are floating-point or signed numbers. Save it with 16 bits a channel in your editor.");
}

void add_note(std::string& notes, const std::string& note) { notes += (notes.empty() ? "" : "; ") + note; }

std::uint16_t load(std::span<const std::byte> samples, std::size_t i) {
    std::uint16_t value = 0;
    std::memcpy(&value, samples.data() + 2 * i, 2);
    return value;
}

void store(std::span<std::byte> samples, std::size_t i, std::uint32_t value) {
    const auto short_value = static_cast<std::uint16_t>(value);
    std::memcpy(samples.data() + 2 * i, &short_value, 2);
}

/// A version 2 code (255 steps of 256) as version 4 (255 steps of 257), rounded; what version 2 has above
/// white, or above 127 in a and b, does not exist in version 4 and is cut.
std::uint32_t version_4(std::uint32_t version_2) {
    return std::min<std::uint32_t>((version_2 * 257 + 128) / 256, 65535);
}

std::uint8_t packed_sample(std::span<const std::byte> row, std::size_t i, int bits) {
    const std::size_t bit = i * static_cast<std::size_t>(bits);
    const int shift = 8 - bits - static_cast<int>(bit % 8);
    return static_cast<std::uint8_t>(std::to_integer<unsigned>(row[bit / 8]) >> shift & ((1U << bits) - 1));
}

}  // namespace

TiffKind judged(TiffFile& tiff) {
    const auto& name = tiff.file().name();
    require_a_finished_picture(tiff);
    TiffKind kind;
    const std::uint32_t width = tiff.long_tag(TIFFTAG_IMAGEWIDTH, 0);
    const std::uint32_t height = tiff.long_tag(TIFFTAG_IMAGELENGTH, 0);
    kind.bits = tiff.short_tag(TIFFTAG_BITSPERSAMPLE, 1);
    kind.samples = tiff.short_tag(TIFFTAG_SAMPLESPERPIXEL, 1);
    kind.compression = tiff.short_tag(TIFFTAG_COMPRESSION, COMPRESSION_NONE);
    kind.tiled = TIFFIsTiled(tiff.get()) != 0;
    kind.bits_reversed = tiff.short_tag(TIFFTAG_FILLORDER, FILLORDER_MSB2LSB) == FILLORDER_LSB2MSB;
    std::uint16_t photometric = 0;
    if (TIFFGetField(tiff.get(), TIFFTAG_PHOTOMETRIC, &photometric) != 1) {
        photometric = kind.samples >= 3 ? PHOTOMETRIC_RGB : PHOTOMETRIC_MINISBLACK;
        add_note(kind.notes, "the file does not say what its channels are");
    }
    const int expected = colour_samples(tiff, photometric, kind.compression);
    if (kind.samples > expected) throw refused(name, no_alpha);
    if (kind.samples < expected) throw damaged(name, "it has too few channels for its kind");
    require_whole_numbers(tiff);
    require_known_compression(tiff, kind.compression, kind.bits);
    kind.separate_planes =
        kind.samples > 1 && tiff.short_tag(TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG) == PLANARCONFIG_SEPARATE;
    const std::string earlier_notes = kind.notes;
    kind.notes.clear();
    switch (photometric) {
        case PHOTOMETRIC_MINISWHITE:
        case PHOTOMETRIC_MINISBLACK: judge_grey(tiff, kind, photometric == PHOTOMETRIC_MINISWHITE); break;
        case PHOTOMETRIC_PALETTE: judge_palette(tiff, kind); break;
        default: judge_colour(tiff, kind, photometric);
    }
    if (!earlier_notes.empty()) add_note(kind.notes, earlier_notes);
    if (kind.compression == COMPRESSION_JPEG) {
        if (kind.bits != 8)
            throw refused(name, "it is compressed as a JPEG of 12 bits. Save it uncompressed or with LZW.");
        if (photometric == PHOTOMETRIC_YCBCR) TIFFSetField(tiff.get(), TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
    }
    require_plausible_size(tiff.file(), width, height,
                           most_bytes_per_byte(kind.compression) * 8 / (kind.bits * kind.samples));
    kind.width = static_cast<int>(width);
    kind.height = static_cast<int>(height);
    if (TIFFLastDirectory(tiff.get()) == 0) add_note(kind.notes, "the file has several pages; the first is read");
    return kind;
}

void convert_row(const TiffKind& kind, std::span<const std::byte> stored, std::span<std::byte> out) {
    const std::size_t samples = static_cast<std::size_t>(kind.width) * static_cast<std::size_t>(kind.samples);
    switch (kind.conversion) {
        case Conversion::none: std::copy(stored.begin(), stored.end(), out.begin()); return;
        case Conversion::white_is_zero:
            // The bits of max - value, for 8 and 16 bits alike.
            std::transform(stored.begin(), stored.end(), out.begin(), [](std::byte value) { return ~value; });
            return;
        case Conversion::few_bits:
        case Conversion::few_bits_inverted: {
            const unsigned flip = kind.conversion == Conversion::few_bits_inverted ? 255 : 0;
            const unsigned scale = 255U / ((1U << kind.bits) - 1);
            for (std::size_t i = 0; i < samples; ++i) {
                out[i] = static_cast<std::byte>((packed_sample(stored, i, kind.bits) * scale) ^ flip);
            }
            return;
        }
        case Conversion::palette_to_8:
            for (std::size_t i = 0; i < samples; ++i) {
                const std::size_t entry = packed_sample(stored, i, kind.bits);
                for (std::size_t c = 0; c < 3; ++c)
                    out[3 * i + c] = static_cast<std::byte>(kind.colour_map[3 * entry + c] >> 8);
            }
            return;
        case Conversion::palette_to_16:
            for (std::size_t i = 0; i < samples; ++i) {
                const std::size_t entry = packed_sample(stored, i, kind.bits);
                for (std::size_t c = 0; c < 3; ++c) store(out, 3 * i + c, kind.colour_map[3 * entry + c]);
            }
            return;
        case Conversion::lab_8:
            for (std::size_t i = 0; i < samples; ++i) out[i] = i % 3 == 0 ? stored[i] : stored[i] ^ std::byte{0x80};
            return;
        case Conversion::lab_16:
            for (std::size_t i = 0; i < samples; ++i) {
                const std::uint32_t value = load(stored, i);
                // a and b: signed steps of 1/256, which plus 128 are the codes of version 2.
                store(out, i, i % 3 == 0 ? value : version_4(value ^ 0x8000U));
            }
            return;
        case Conversion::icc_lab_16:
            for (std::size_t i = 0; i < samples; ++i) store(out, i, version_4(load(stored, i)));
            return;
    }
}

}  // namespace hangtrue::raster
