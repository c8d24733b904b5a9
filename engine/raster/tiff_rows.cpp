// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/tiff_rows.h"

#include <algorithm>
#include <bit>
#include <cstring>
#include <utility>

#include "engine/base/units_text.h"
#include "engine/raster/metadata.h"
#include "engine/raster/strip_stream.h"
#include "engine/raster/tiff_file.h"
#include "engine/raster/tiff_kind.h"

namespace hangtrue::raster {
namespace {

using Bytes = std::span<const std::byte>;
using FilePointer = std::shared_ptr<const PictureFile>;

/// A strip that is larger than this when decoded is read row by row.
constexpr std::int64_t largest_kept_strip = 8 << 20;

/// A row of tiles is decoded at once; one that needs more is refused.
constexpr std::int64_t largest_tile_row = std::int64_t{1} << 30;

/// Between two looks at the cancel mark.
constexpr std::int64_t bytes_at_once = 8 << 20;

void swap_bytes(std::span<std::byte> samples) {
    for (std::size_t i = 0; i + 1 < samples.size(); i += 2) std::swap(samples[i], samples[i + 1]);
}

/// How rows lie in strips; the same for each plane.
struct Strips {
    int rows_per_strip = 1;
    int count = 1;  ///< In a plane.

    static Strips of(const TiffFile& tiff, const TiffKind& kind) {
        // The default, 2^32 - 1, means one strip.
        const std::uint32_t said = tiff.long_tag(TIFFTAG_ROWSPERSTRIP, 0xffffffffU);
        if (said == 0) throw damaged(tiff.file().name(), "its strips have no rows");
        const int rows = static_cast<int>(std::min<std::uint32_t>(said, static_cast<std::uint32_t>(kind.height)));
        return {rows, (kind.height - 1) / rows + 1};
    }
    int rows_in(int strip, int height) const { return std::min(rows_per_strip, height - strip * rows_per_strip); }
};

/// Uncompressed strips, read straight from the file at any place.
class DirectRows final : public StoredRows {
  public:
    DirectRows(TiffFile& tiff, const TiffKind& kind, int plane, FilePointer file)
        : m_file(std::move(file)),
          m_strips(Strips::of(tiff, kind)),
          m_bytes_per_row(static_cast<std::int64_t>(kind.stored_bytes_per_row())),
          m_swapped(kind.bits == 16 && TIFFIsByteSwapped(tiff.get()) != 0) {
        m_offsets.reserve(static_cast<std::size_t>(m_strips.count));
        for (int strip = 0; strip < m_strips.count; ++strip) {
            const auto number = static_cast<std::uint32_t>(plane * m_strips.count + strip);
            const std::uint64_t offset = TIFFGetStrileOffset(tiff.get(), number);
            const auto size = static_cast<std::uint64_t>(m_file->size());
            const auto bytes = static_cast<std::uint64_t>(m_bytes_per_row * m_strips.rows_in(strip, kind.height));
            if (offset == 0 || offset > size || size - offset < bytes) {
                throw damaged(m_file->name(), "strip " + base::count_text(number + 1) + " lies beyond its end");
            }
            m_offsets.push_back(static_cast<std::int64_t>(offset));
        }
    }

    void read(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        const std::span<std::byte> all = out;
        while (count > 0) {
            progress.check();
            const std::int64_t place = offset_of(first);
            const int rows = rows_in_one_run(first, count);
            const auto part = out.first(static_cast<std::size_t>(rows * m_bytes_per_row));
            m_file->read_at(part, place);
            out = out.subspan(part.size());
            first += rows;
            count -= rows;
        }
        if (m_swapped) swap_bytes(all);
    }
    bool any_place() const override { return true; }

  private:
    std::int64_t offset_of(int row) const {
        const int strip = row / m_strips.rows_per_strip;
        return m_offsets[static_cast<std::size_t>(strip)] + (row - strip * m_strips.rows_per_strip) * m_bytes_per_row;
    }

    /// Rows from `first` that stand in the file without a gap, over the borders of strips.
    int rows_in_one_run(int first, int count) const {
        const int most = static_cast<int>(std::clamp<std::int64_t>(bytes_at_once / m_bytes_per_row, 1, count));
        int rows = std::min(most, m_strips.rows_per_strip - first % m_strips.rows_per_strip);
        while (rows < most && offset_of(first + rows) == offset_of(first) + rows * m_bytes_per_row) {
            rows = std::min(most, rows + m_strips.rows_per_strip);
        }
        return rows;
    }

    FilePointer m_file;
    Strips m_strips;
    std::int64_t m_bytes_per_row;
    bool m_swapped;
    std::vector<std::int64_t> m_offsets;
};

/// Bands of rows that are decoded together (a strip, a row of tiles); the last one decoded is kept.
class BandRows : public StoredRows {
  public:
    void read(int first, int count, std::span<std::byte> out, base::Progress& progress) final {
        while (count > 0) {
            progress.check();
            const int band = first / m_rows_per_band;
            if (band != m_kept) {
                m_kept = -1;
                decode(band, std::min(m_rows_per_band, m_height - band * m_rows_per_band), m_band, progress);
                m_kept = band;
            }
            const int row = first - band * m_rows_per_band;
            const int rows = std::min(count, m_rows_per_band - row);
            const std::size_t bytes = static_cast<std::size_t>(rows) * m_bytes_per_row;
            std::memcpy(out.data(), m_band.data() + static_cast<std::size_t>(row) * m_bytes_per_row, bytes);
            out = out.subspan(bytes);
            first += rows;
            count -= rows;
        }
    }
    bool any_place() const final { return true; }

  protected:
    BandRows(int height, int rows_per_band, std::size_t bytes_per_row)
        : m_height(height),
          m_rows_per_band(rows_per_band),
          m_bytes_per_row(bytes_per_row),
          m_band(bytes_per_row * static_cast<std::size_t>(rows_per_band)) {}

    virtual void decode(int band, int rows, std::span<std::byte> out, base::Progress& progress) = 0;
    std::size_t bytes_per_row() const { return m_bytes_per_row; }

  private:
    int m_height;
    int m_rows_per_band;
    std::size_t m_bytes_per_row;
    std::vector<std::byte> m_band;
    int m_kept = -1;
};

class StripRows final : public BandRows {
  public:
    StripRows(std::unique_ptr<TiffFile> tiff, const TiffKind& kind, Strips strips, int plane)
        : BandRows(kind.height, strips.rows_per_strip, kind.stored_bytes_per_row()),
          m_tiff(std::move(tiff)),
          m_first_strip(plane * strips.count) {}

  private:
    void decode(int band, int rows, std::span<std::byte> out, base::Progress&) override {
        const auto wanted = static_cast<tmsize_t>(bytes_per_row()) * rows;
        const auto strip = static_cast<std::uint32_t>(m_first_strip + band);
        m_tiff->forget_messages();
        const tmsize_t got = TIFFReadEncodedStrip(m_tiff->get(), strip, out.data(), wanted);
        if (got != wanted || m_tiff->has_made_up_samples()) {
            throw m_tiff->failure("strip " + base::count_text(strip + 1) + " is shorter than it should be");
        }
    }

    std::unique_ptr<TiffFile> m_tiff;
    int m_first_strip;
};

/// Large strips of the usual compressions, decoded as they are read: a compressed picture in one strip.
class StreamedRows final : public SequentialRows {
  public:
    StreamedRows(TiffFile& tiff, const TiffKind& kind, Strips strips, int plane, FilePointer file)
        : SequentialRows(kind.stored_bytes_per_row()),
          m_file(std::move(file)),
          m_compression(kind.compression),
          m_bits(kind.bits),
          m_samples(kind.separate_planes ? 1 : kind.samples),
          m_rows_per_strip(strips.rows_per_strip),
          m_swapped(kind.bits == 16 && TIFFIsByteSwapped(tiff.get()) != 0),
          m_differences(predictor_of(tiff, kind.compression) == PREDICTOR_HORIZONTAL) {
        for (int strip = 0; strip < strips.count; ++strip) {
            const auto number = static_cast<std::uint32_t>(plane * strips.count + strip);
            const std::uint64_t offset = TIFFGetStrileOffset(tiff.get(), number);
            const std::uint64_t length = TIFFGetStrileByteCount(tiff.get(), number);
            const auto size = static_cast<std::uint64_t>(m_file->size());
            if (offset == 0 || offset > size || size - offset < length) {
                throw damaged(m_file->name(), "strip " + base::count_text(number + 1) + " lies beyond its end");
            }
            m_strips.push_back({static_cast<std::int64_t>(offset), static_cast<std::int64_t>(length)});
        }
    }

    /// What is not known here is left to libtiff: other predictors, and the LZW of before TIFF 5, whose
    /// strips do not begin with a clear code.
    static bool can_read(TiffFile& tiff, const TiffKind& kind) {
        if (kind.bits_reversed || !has_strip_stream(kind.compression)) return false;
        const std::uint16_t predictor = predictor_of(tiff, kind.compression);
        if (predictor != PREDICTOR_NONE && (predictor != PREDICTOR_HORIZONTAL || kind.bits < 8)) return false;
        if (kind.compression != COMPRESSION_LZW) return true;
        std::byte first{};
        const auto place = static_cast<std::int64_t>(TIFFGetStrileOffset(tiff.get(), 0));
        return tiff.file().read_some(std::span(&first, 1), place) == 1 && first == std::byte{0x80};
    }

  private:
    /// libtiff answers for a codec that has no predictor with whatever stands in its memory: do not ask.
    static std::uint16_t predictor_of(TiffFile& tiff, std::uint16_t compression) {
        if (compression == COMPRESSION_PACKBITS) return PREDICTOR_NONE;
        return tiff.short_tag(TIFFTAG_PREDICTOR, PREDICTOR_NONE);
    }

    struct Place {
        std::int64_t offset;
        std::int64_t length;
    };

    void start(base::Progress&) override { m_row = 0; }
    void decode(std::span<std::byte> row) override {
        if (m_row % m_rows_per_strip == 0) {
            const Place& place = m_strips[static_cast<std::size_t>(m_row / m_rows_per_strip)];
            m_stream = strip_stream(m_compression, StripBytes(*m_file, place.offset, place.length));
        }
        m_stream->read(row);
        if (m_swapped) swap_bytes(row);
        if (m_differences) undo_differences(row, m_bits, m_samples);
        ++m_row;
    }

    FilePointer m_file;
    std::uint16_t m_compression;
    int m_bits;
    int m_samples;
    int m_rows_per_strip;
    bool m_swapped;
    bool m_differences;
    std::vector<Place> m_strips;
    std::unique_ptr<StripStream> m_stream;
    int m_row = 0;
};

/// Large strips of rarer compressions, by libtiff, which loads a strip as it is compressed.
class ScanlineRows final : public SequentialRows {
  public:
    ScanlineRows(std::unique_ptr<TiffFile> tiff, std::size_t bytes_per_row, int plane)
        : SequentialRows(bytes_per_row), m_tiff(std::move(tiff)), m_plane(static_cast<std::uint16_t>(plane)) {}

  private:
    void start(base::Progress&) override { m_row = 0; }
    void decode(std::span<std::byte> row) override {
        m_tiff->forget_messages();
        if (TIFFReadScanline(m_tiff->get(), row.data(), m_row, m_plane) != 1 || m_tiff->has_made_up_samples()) {
            throw m_tiff->failure("row " + base::count_text(m_row + 1) + " cannot be decoded");
        }
        ++m_row;
    }

    std::unique_ptr<TiffFile> m_tiff;
    std::uint16_t m_plane;
    std::uint32_t m_row = 0;
};

class TileRows final : public BandRows {
  public:
    TileRows(std::unique_ptr<TiffFile> tiff, const TiffKind& kind, int tile_height, int plane)
        : BandRows(kind.height, std::min(tile_height, kind.height), kind.stored_bytes_per_row()),
          m_tiff(std::move(tiff)),
          m_plane(static_cast<std::uint16_t>(plane)),
          m_width(static_cast<std::uint32_t>(kind.width)),
          m_tile_width(m_tiff->long_tag(TIFFTAG_TILEWIDTH, 0)),
          m_tile_height(static_cast<std::uint32_t>(tile_height)),
          m_tile_row_bytes(static_cast<std::size_t>(TIFFTileRowSize64(m_tiff->get()))),
          m_tile(m_tile_row_bytes * static_cast<std::size_t>(tile_height)) {}

  private:
    void decode(int band, int rows, std::span<std::byte> out, base::Progress& progress) override {
        const std::uint32_t top = static_cast<std::uint32_t>(band) * m_tile_height;
        std::size_t left_bytes = 0;
        for (std::uint32_t left = 0; left < m_width; left += m_tile_width, left_bytes += m_tile_row_bytes) {
            progress.check();
            m_tiff->forget_messages();
            const std::uint32_t number = TIFFComputeTile(m_tiff->get(), left, top, 0, m_plane);
            const auto wanted = static_cast<tmsize_t>(m_tile.size());
            if (TIFFReadEncodedTile(m_tiff->get(), number, m_tile.data(), wanted) != wanted ||
                m_tiff->has_made_up_samples()) {
                throw m_tiff->failure("tile " + base::count_text(number + 1) + " cannot be decoded");
            }
            const std::size_t used = std::min(m_tile_row_bytes, bytes_per_row() - left_bytes);
            for (std::size_t row = 0; row < static_cast<std::size_t>(rows); ++row) {
                std::memcpy(out.data() + row * bytes_per_row() + left_bytes, m_tile.data() + row * m_tile_row_bytes,
                            used);
            }
        }
    }

    std::unique_ptr<TiffFile> m_tiff;
    std::uint16_t m_plane;
    std::uint32_t m_width;
    std::uint32_t m_tile_width;
    std::uint32_t m_tile_height;
    std::size_t m_tile_row_bytes;
    std::vector<std::byte> m_tile;
};

/// Three planes, each read by a handle of its own, so that none loses its place, woven into pixels.
class PlanarRows final : public StoredRows {
  public:
    PlanarRows(std::vector<std::unique_ptr<StoredRows>> planes, const TiffKind& kind)
        : m_planes(std::move(planes)),
          m_plane_row(kind.stored_bytes_per_row()),
          m_sample_bytes(static_cast<std::size_t>(kind.bits) / 8) {}

    void read(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        const std::size_t pixel = m_planes.size() * m_sample_bytes;
        m_part.resize(m_plane_row * static_cast<std::size_t>(count));
        for (std::size_t plane = 0; plane < m_planes.size(); ++plane) {
            m_planes[plane]->read(first, count, m_part, progress);
            std::byte* to = out.data() + plane * m_sample_bytes;
            m_sample_bytes == 1 ? weave<1>(m_part, to, pixel) : weave<2>(m_part, to, pixel);
        }
    }
    bool any_place() const override { return m_planes.front()->any_place(); }

  private:
    template <std::size_t SampleBytes>
    static void weave(Bytes samples, std::byte* to, std::size_t step) {
        for (std::size_t at = 0; at < samples.size(); at += SampleBytes, to += step) {
            std::memcpy(to, samples.data() + at, SampleBytes);
        }
    }

    std::vector<std::unique_ptr<StoredRows>> m_planes;
    std::size_t m_plane_row;
    std::size_t m_sample_bytes;
    std::vector<std::byte> m_part;
};

/// Rows whose samples are not what they are stored as.
class ConvertedRows final : public StoredRows {
  public:
    ConvertedRows(std::unique_ptr<StoredRows> stored, TiffKind kind, std::size_t stored_row, std::size_t row)
        : m_stored(std::move(stored)), m_kind(std::move(kind)), m_stored_row(stored_row), m_row(row) {}

    void read(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        m_part.resize(m_stored_row * static_cast<std::size_t>(count));
        m_stored->read(first, count, m_part, progress);
        for (std::size_t i = 0; i < static_cast<std::size_t>(count); ++i) {
            convert_row(m_kind, std::span(m_part).subspan(i * m_stored_row, m_stored_row),
                        out.subspan(i * m_row, m_row));
        }
    }
    bool any_place() const override { return m_stored->any_place(); }

  private:
    std::unique_ptr<StoredRows> m_stored;
    TiffKind m_kind;
    std::size_t m_stored_row;
    std::size_t m_row;
    std::vector<std::byte> m_part;
};

/// A handle of its own for a plane, set up as the first was.
std::unique_ptr<TiffFile> another_handle(const FilePointer& file, const TiffKind& kind) {
    auto tiff = std::make_unique<TiffFile>(file);
    if (kind.compression == COMPRESSION_JPEG && tiff->short_tag(TIFFTAG_PHOTOMETRIC, 0) == PHOTOMETRIC_YCBCR) {
        TIFFSetField(tiff->get(), TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
    }
    return tiff;
}

std::unique_ptr<StoredRows> tile_rows(const FilePointer& file, const TiffKind& kind, int plane) {
    auto tiff = another_handle(file, kind);
    const std::uint32_t height = tiff->long_tag(TIFFTAG_TILELENGTH, 0);
    const std::uint32_t width = tiff->long_tag(TIFFTAG_TILEWIDTH, 0);
    if (height == 0 || width == 0) throw damaged(file->name(), "its tiles have no size");
    const std::uint64_t tile_bytes = TIFFTileSize64(tiff->get());
    const std::uint64_t row_bytes = std::uint64_t{height} * kind.stored_bytes_per_row();
    if (std::max(tile_bytes, row_bytes) > static_cast<std::uint64_t>(largest_tile_row) || tile_bytes == 0) {
        throw refused(file->name(),
                      "it is saved in very large tiles. Save it in strips, the usual way, in your editor.");
    }
    return std::make_unique<TileRows>(std::move(tiff), kind, static_cast<int>(height), plane);
}

std::unique_ptr<StoredRows> plane_rows(const FilePointer& file, TiffFile& tiff, const TiffKind& kind, int plane) {
    if (kind.tiled) return tile_rows(file, kind, plane);
    if (kind.compression == COMPRESSION_NONE && !kind.bits_reversed) {
        return std::make_unique<DirectRows>(tiff, kind, plane, file);
    }
    const Strips strips = Strips::of(tiff, kind);
    const auto strip_bytes = static_cast<std::int64_t>(kind.stored_bytes_per_row()) * strips.rows_per_strip;
    if (strip_bytes <= largest_kept_strip) {
        return std::make_unique<StripRows>(another_handle(file, kind), kind, strips, plane);
    }
    if (StreamedRows::can_read(tiff, kind)) {
        return std::make_unique<StreamedRows>(tiff, kind, strips, plane, file);
    }
    return std::make_unique<ScanlineRows>(another_handle(file, kind), kind.stored_bytes_per_row(), plane);
}

std::unique_ptr<StoredRows> rows_of(const FilePointer& file, TiffFile& tiff, const TiffKind& kind,
                                    std::size_t row_bytes) {
    std::vector<std::unique_ptr<StoredRows>> planes;
    for (int plane = 0; plane < (kind.separate_planes ? kind.samples : 1); ++plane) {
        planes.push_back(plane_rows(file, tiff, kind, plane));
    }
    std::unique_ptr<StoredRows> rows = std::move(planes.front());
    std::size_t stored_row = kind.stored_bytes_per_row();
    if (kind.separate_planes) {
        planes.front() = std::move(rows);
        stored_row *= planes.size();
        rows = std::make_unique<PlanarRows>(std::move(planes), kind);
    }
    if (kind.conversion == Conversion::none) return rows;
    return std::make_unique<ConvertedRows>(std::move(rows), kind, stored_row, row_bytes);
}

std::string text_tag(const TiffFile& tiff, std::uint32_t tag) {
    const char* text = nullptr;
    return TIFFGetField(tiff.get(), tag, &text) == 1 && text != nullptr ? tidy_text(text) : std::string();
}

Bytes bytes_tag(const TiffFile& tiff, std::uint32_t tag) {
    std::uint32_t count = 0;
    const void* bytes = nullptr;
    if (TIFFGetField(tiff.get(), tag, &count, &bytes) != 1 || bytes == nullptr) return {};
    return {static_cast<const std::byte*>(bytes), count};
}

base::PixelsPerInch ppi_of(const TiffFile& tiff) {
    float across = 0;
    float down = 0;
    if (TIFFGetField(tiff.get(), TIFFTAG_XRESOLUTION, &across) != 1 ||
        TIFFGetField(tiff.get(), TIFFTAG_YRESOLUTION, &down) != 1) {
        return {};
    }
    const std::uint16_t unit = tiff.short_tag(TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
    if (unit != RESUNIT_INCH && unit != RESUNIT_CENTIMETER) return {};
    const double in_an_inch = unit == RESUNIT_INCH ? 1 : base::millimetres_per_inch / 10;
    return stated_ppi(across * in_an_inch, down * in_an_inch);
}

void take_metadata(const TiffFile& tiff, PictureInfo& picture) {
    const Bytes packet = bytes_tag(tiff, TIFFTAG_XMLPACKET);
    const Credit xmp = credit_from_xmp({reinterpret_cast<const char*>(packet.data()), packet.size()});
    const Credit tags{text_tag(tiff, TIFFTAG_COPYRIGHT), text_tag(tiff, TIFFTAG_ARTIST)};
    // Many editors declare the IPTC bytes to be 32-bit numbers, which libtiff then leaves out.
    const Credit iptc = first_of(credit_from_iptc(tiff.stored_bytes(TIFFTAG_RICHTIFFIPTC)),
                                 credit_from_iptc(iptc_in_resources(bytes_tag(tiff, TIFFTAG_PHOTOSHOP))), {});
    const Credit credit = first_of(xmp, tags, iptc);
    picture.copyright = credit.copyright;
    picture.author = credit.author;
    const Bytes profile = bytes_tag(tiff, TIFFTAG_ICCPROFILE);
    picture.icc_profile.assign(profile.begin(), profile.end());
    const std::uint16_t orientation = tiff.short_tag(TIFFTAG_ORIENTATION, 1);
    picture.orientation = orientation >= 1 && orientation <= 8 ? orientation : 1;
}

}  // namespace

StoredPicture open_tiff(FilePointer file) {
    TiffFile tiff(file);
    const TiffKind kind = judged(tiff);
    PictureInfo picture;
    picture.format = FileFormat::tiff;
    picture.size = {kind.width, kind.height};
    picture.model = kind.model;
    picture.bits = kind.bits_out();
    picture.notes = kind.notes;
    picture.ppi = ppi_of(tiff);
    take_metadata(tiff, picture);
    auto rows = rows_of(file, tiff, kind, picture.bytes_per_row());
    return {std::move(picture), std::move(rows)};
}

}  // namespace hangtrue::raster
