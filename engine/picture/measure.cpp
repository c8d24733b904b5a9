// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/measure.h"

#include <algorithm>
#include <optional>
#include <vector>

#include "engine/picture/coding.h"
#include "engine/picture/edges.h"
#include "engine/picture/luminance.h"
#include "engine/picture/noise.h"

namespace hangtrue::picture {
namespace {

constexpr int band_rows = 32;

// Noise and blur are looked for in bands spread evenly over large pictures: so many pixels tell enough.
constexpr std::int64_t pixels_wanted = 8'000'000;

class BandMeasure {
  public:
    BandMeasure(base::PixelSize size, int bits) : m_rounding_variance(bits == 8 ? 1.0 / 12 : 0) {
        m_step = static_cast<int>(std::max<std::int64_t>(1, size.count() / pixels_wanted));
    }

    /// The part of the picture's rows that is wanted.
    double share() const { return 1.0 / m_step; }

    bool wants_band(int index) const { return index % m_step == 0; }

    // A band of `rows` rows of luminance.
    void add(std::span<const float> band, int width, int rows) {
        const auto pitch = static_cast<std::size_t>(width);
        for (int y = 0; y + tile_side <= rows; y += tile_side) {
            for (int x = 0; x + tile_side <= width; x += tile_side) {
                const float* corner = band.data() + static_cast<std::size_t>(y) * pitch + static_cast<std::size_t>(x);
                if (const auto bands = tile_bands(corner, pitch)) m_tiles.push_back(*bands);
            }
        }
        m_edges.add({band.data(), width, rows, pitch});
    }

    optics::Noise noise() const { return noise_of(m_tiles, m_rounding_variance); }
    optics::Blur blur(const optics::Noise& noise) const { return m_edges.blur(noise); }

  private:
    double m_rounding_variance;  // Of rounding to 8 bits, of 16 it is nothing.
    int m_step = 1;
    std::vector<TileBands> m_tiles;  // 28 bytes for each 16 x 16 pixels of those wanted.
    PictureEdges m_edges;
};

double share(std::int64_t part, std::int64_t whole) {
    return whole == 0 ? 0 : static_cast<double>(part) / static_cast<double>(whole);
}

}  // namespace

Measured measured(raster::RowReader& reader, base::Progress& progress) {
    const raster::PictureInfo& info = reader.info();
    const auto width = static_cast<std::size_t>(info.size.width);
    std::vector<std::byte> samples(info.bytes_per_row() * band_rows);
    std::vector<float> band(width * band_rows);
    Counts counts;
    BandMeasure measure(info.size, info.bits);
    std::optional<CodingTraces> traces;
    if (info.format != raster::FileFormat::jpeg && info.model != raster::SampleModel::lab)
        traces.emplace(info.size, measure.share());
    for (int first = 0; first < info.size.height; first += band_rows) {
        const int rows = std::min(band_rows, info.size.height - first);
        const auto used = std::span(samples).first(info.bytes_per_row() * static_cast<std::size_t>(rows));
        reader.read_rows(first, rows, used, progress);
        const bool is_wanted = measure.wants_band(first / band_rows);
        for (int y = 0; y < rows; ++y) {
            const auto row = used.subspan(static_cast<std::size_t>(y) * info.bytes_per_row(), info.bytes_per_row());
            count_row(info, row, counts);
            if (is_wanted)
                luminance_row(info, row, std::span(band).subspan(static_cast<std::size_t>(y) * width, width));
        }
        if (is_wanted) measure.add(band, info.size.width, rows);
        if (is_wanted && traces) {
            for (int y = 0; y < rows; ++y) {
                const auto row = used.subspan(static_cast<std::size_t>(y) * info.bytes_per_row(), info.bytes_per_row());
                luma_row(info, row, std::span(band).subspan(static_cast<std::size_t>(y) * width, width));
            }
            traces->add(band, info.size.width, rows);
        }
        progress.report("measuring", static_cast<double>(first + rows) / info.size.height);
    }
    const optics::Noise noise = measure.noise();
    return {.noise = noise,
            .blur = measure.blur(noise),
            .jpeg_coding = traces ? traces->jpeg_coding() : 0,
            .is_neutral = counts.coloured == 0,
            .clipped_white = share(counts.white, counts.pixels),
            .clipped_black = share(counts.black, counts.pixels)};
}

}  // namespace hangtrue::picture
