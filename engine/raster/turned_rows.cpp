// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/turned_rows.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstring>
#include <utility>

#include "engine/raster/spill.h"

namespace hangtrue::raster {
namespace {

constexpr const char* spill_purpose = "turning the picture upright";
constexpr const char* spill_step = "turning";

template <std::size_t Bytes>
using Pixel = std::array<std::byte, Bytes>;

/// Calls `work` with std::integral_constant of the pixel's size, so that its copies are single moves.
template <typename Work>
void with_pixel_bytes(std::size_t bytes, Work work) {
    switch (bytes) {
        case 1: return work(std::integral_constant<std::size_t, 1>{});
        case 2: return work(std::integral_constant<std::size_t, 2>{});
        case 3: return work(std::integral_constant<std::size_t, 3>{});
        case 6: return work(std::integral_constant<std::size_t, 6>{});
        default: assert(false);
    }
}

void mirror_rows(std::span<std::byte> rows, std::size_t bytes_per_row, std::size_t bytes_per_pixel) {
    with_pixel_bytes(bytes_per_pixel, [&](auto bytes) {
        for (std::size_t at = 0; at < rows.size(); at += bytes_per_row) {
            std::byte* left = rows.data() + at;
            std::byte* right = left + bytes_per_row - bytes;
            for (; left < right; left += bytes, right -= bytes) {
                Pixel<bytes> pixel;
                std::memcpy(pixel.data(), left, bytes);
                std::memcpy(left, right, bytes);
                std::memcpy(right, pixel.data(), bytes);
            }
        }
    });
}

void reverse_rows(std::span<std::byte> rows, std::size_t bytes_per_row) {
    if (rows.empty()) return;
    for (std::size_t top = 0, bottom = rows.size() - bytes_per_row; top < bottom;
         top += bytes_per_row, bottom -= bytes_per_row) {
        std::swap_ranges(rows.begin() + static_cast<std::ptrdiff_t>(top),
                         rows.begin() + static_cast<std::ptrdiff_t>(top + bytes_per_row),
                         rows.begin() + static_cast<std::ptrdiff_t>(bottom));
    }
}

/// Mirrored, upside down or both, of rows that can be read at any place; and plain orientation 1.
class FlippedReader final : public RowReader {
  public:
    explicit FlippedReader(StoredPicture picture, std::int64_t spilled_bytes = 0)
        : m_rows(std::move(picture.rows)), m_spilled_bytes(spilled_bytes) {
        m_info = std::move(picture.info);
    }

    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        assert(first >= 0 && count >= 0 && first + count <= m_info.size.height);
        assert(out.size() == static_cast<std::size_t>(count) * m_info.bytes_per_row());
        const bool upside_down = m_info.orientation == 3 || m_info.orientation == 4;
        const bool mirrored = m_info.orientation == 2 || m_info.orientation == 3;
        m_rows->read(upside_down ? m_info.size.height - first - count : first, count, out, progress);
        if (upside_down) reverse_rows(out, m_info.bytes_per_row());
        if (mirrored) mirror_rows(out, m_info.bytes_per_row(), m_info.bytes_per_pixel());
    }

    std::int64_t decoder_bytes() const override { return m_rows->decoder_bytes(); }
    std::int64_t spilled_bytes() const override { return m_spilled_bytes; }

  private:
    std::unique_ptr<StoredRows> m_rows;
    std::int64_t m_spilled_bytes;
};

/// Orientations 3 and 4 of rows that only come from the top: spilled as they come, read from there.
class SpilledAsStored final : public StoredRows {
  public:
    SpilledAsStored(StoredPicture& picture, const OpenOptions& options, base::Progress& progress)
        : m_spill(options.scratch_folder, picture.info.bytes_per_row(), picture.info.size.height, spill_purpose,
                  options.faults),
          m_decoder_bytes(picture.rows->decoder_bytes()) {
        const int height = picture.info.size.height;
        const std::size_t bytes_per_row = picture.info.bytes_per_row();
        const int rows_at_once = static_cast<int>(std::clamp<std::size_t>((4U << 20) / bytes_per_row, 1, 256));
        std::vector<std::byte> rows(bytes_per_row * static_cast<std::size_t>(std::min(rows_at_once, height)));
        for (int first = 0; first < height; first += rows_at_once) {
            progress.report(spill_step, static_cast<double>(first) / height);
            const int count = std::min(rows_at_once, height - first);
            const auto part = std::span(rows).first(bytes_per_row * static_cast<std::size_t>(count));
            picture.rows->read(first, count, part, progress);
            m_spill.write(first, part);
        }
        progress.report(spill_step, 1);
    }

    void read(int first, int, std::span<std::byte> out, base::Progress& progress) override {
        progress.check();
        m_spill.read(first, out);
    }
    bool any_place() const override { return true; }
    std::int64_t decoder_bytes() const override { return m_decoder_bytes; }
    std::int64_t spilled_bytes() const { return m_spill.bytes(); }

  private:
    SpilledRows m_spill;
    std::int64_t m_decoder_bytes;
};

/// How a quarter-turned picture lies in its scratch file: bands of `width` stored rows, each band turned so
/// that it holds, for every upright row, the `width` pixels that fall into it. Writing a band is one run,
/// and reading some upright rows is one run a band: neither jumps about pixel by pixel.
struct Bands {
    int width = 0;  ///< Stored rows a band; upright pixels in each of its rows.
    int count = 0;
};

/// A band as stored and turned stays near 16 MiB each, however wide the picture.
Bands bands_for(const PictureInfo& stored) {
    const std::size_t wanted = (std::size_t{16} << 20) / stored.bytes_per_row();
    const int width = static_cast<int>(std::clamp<std::size_t>(wanted, 1, 256));
    return {width, (stored.size.height + width - 1) / width};
}

class QuarterTurnedReader final : public RowReader {
  public:
    QuarterTurnedReader(StoredPicture picture, const OpenOptions& options, base::Progress& progress)
        : m_bands(bands_for(picture.info)),
          m_spill(options.scratch_folder, static_cast<std::size_t>(m_bands.width) * picture.info.bytes_per_pixel(),
                  checked_rows(picture.info, m_bands), spill_purpose, options.faults),
          m_decoder_bytes(picture.rows->decoder_bytes()) {
        spill(picture, progress);
        m_info = std::move(picture.info);
        m_info.size = upright(m_info.size, m_info.orientation);
    }

    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        assert(first >= 0 && count >= 0 && first + count <= m_info.size.height);
        assert(out.size() == static_cast<std::size_t>(count) * m_info.bytes_per_row());
        const std::size_t pixel = m_info.bytes_per_pixel();
        const std::size_t run = static_cast<std::size_t>(m_bands.width) * pixel;
        m_part.resize(run * static_cast<std::size_t>(count));
        for (int band = 0; band < m_bands.count; ++band) {
            progress.check();
            m_spill.read(band * m_info.size.height + first, m_part);
            const std::size_t left = static_cast<std::size_t>(band) * run;
            const std::size_t used = std::min(run, m_info.bytes_per_row() - left);
            for (std::size_t row = 0; row < static_cast<std::size_t>(count); ++row) {
                std::memcpy(out.data() + row * m_info.bytes_per_row() + left, m_part.data() + row * run, used);
            }
        }
    }

    std::int64_t decoder_bytes() const override { return m_decoder_bytes; }
    std::int64_t spilled_bytes() const override { return m_spill.bytes(); }

  private:
    /// The bands' rows counted together; the limits on a picture keep them within an int.
    static int checked_rows(const PictureInfo& stored, Bands bands) {
        const std::int64_t rows = std::int64_t{stored.size.width} * bands.count;
        assert(rows <= std::int64_t{1} << 31);
        return static_cast<int>(rows);
    }

    void spill(StoredPicture& picture, base::Progress& progress) {
        const base::PixelSize stored = picture.info.size;
        const std::size_t row_bytes = picture.info.bytes_per_row();
        const std::size_t pixel = picture.info.bytes_per_pixel();
        // Orientations 6 and 7 begin with the right-most upright column, 7 and 8 with the lowest pixel of it.
        const bool from_right = picture.info.orientation == 6 || picture.info.orientation == 7;
        const bool from_below = picture.info.orientation == 7 || picture.info.orientation == 8;
        std::vector<std::byte> rows(row_bytes * static_cast<std::size_t>(m_bands.width));
        std::vector<std::byte> turned(rows.size());
        for (int step = 0; step < m_bands.count; ++step) {
            progress.report(spill_step, static_cast<double>(step) / m_bands.count);
            // Bands are counted from the upright left; rows are read in the order in which they are stored.
            const int band = from_right ? m_bands.count - 1 - step : step;
            const int left = band * m_bands.width;
            const int right = std::min(left + m_bands.width, stored.height);
            const int first = from_right ? stored.height - right : left;
            picture.rows->read(first, right - left,
                               std::span(rows).first(row_bytes * static_cast<std::size_t>(right - left)), progress);
            turn(rows, right - left, stored.width, pixel, from_right, from_below, turned);
            m_spill.write(band * stored.width, turned);
        }
        progress.report(spill_step, 1);
    }

    /// Upright row y of the band gets pixel (x, y) from stored row x (or its mirror), stored column y (or its).
    void turn(std::span<const std::byte> rows, int count, int stored_width, std::size_t pixel_bytes, bool from_right,
              bool from_below, std::span<std::byte> turned) const {
        constexpr int tile = 32;  // So that a tile's cache lines, on both sides, stay in the first-level cache.
        with_pixel_bytes(pixel_bytes, [&](auto bytes) {
            for (int y_tile = 0; y_tile < stored_width; y_tile += tile) {
                for (int x_tile = 0; x_tile < count; x_tile += tile) {
                    for (int y = y_tile; y < std::min(y_tile + tile, stored_width); ++y) {
                        const int column = from_below ? stored_width - 1 - y : y;
                        std::byte* out = turned.data() + (std::size_t(y) * std::size_t(m_bands.width)) * bytes;
                        for (int x = x_tile; x < std::min(x_tile + tile, count); ++x) {
                            const int row = from_right ? count - 1 - x : x;
                            const std::size_t from = std::size_t(row) * std::size_t(stored_width) + std::size_t(column);
                            std::memcpy(out + std::size_t(x) * bytes, rows.data() + from * bytes, bytes);
                        }
                    }
                }
            }
        });
    }

    Bands m_bands;
    SpilledRows m_spill;
    std::int64_t m_decoder_bytes;
    std::vector<std::byte> m_part;
};

}  // namespace

std::unique_ptr<RowReader> turned_upright(StoredPicture picture, const OpenOptions& options, base::Progress& progress) {
    const int orientation = picture.info.orientation;
    if (is_quarter_turned(orientation)) {
        return std::make_unique<QuarterTurnedReader>(std::move(picture), options, progress);
    }
    if (orientation >= 3 && !picture.rows->any_place()) {
        auto spilled = std::make_unique<SpilledAsStored>(picture, options, progress);
        const std::int64_t spilled_bytes = spilled->spilled_bytes();
        picture.rows = std::move(spilled);
        return std::make_unique<FlippedReader>(std::move(picture), spilled_bytes);
    }
    return std::make_unique<FlippedReader>(std::move(picture));
}

}  // namespace hangtrue::raster
