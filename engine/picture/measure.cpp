// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/measure.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/picture/estimate.h"
#include "engine/picture/luminance.h"

namespace hangtrue::picture {
namespace {

constexpr int band_rows = 32;

// Tiles are taken from so many places of large pictures, no more: a picture of 60 MP has 59,000.
constexpr std::int64_t tiles_wanted = 16000;

// Tiles, in a fixed checkered order, of which every `step`-th is measured.
class TileMeasure {
  public:
    explicit TileMeasure(base::PixelSize size) {
        const std::int64_t smaller = std::min(size.width, size.height);
        m_side = smaller >= 512 ? 32 : 16;
        const std::int64_t count = (std::int64_t{size.width} / m_side) * (std::int64_t{size.height} / m_side);
        m_step = std::max<std::int64_t>(1, count / tiles_wanted);
    }

    // A band of `rows` rows of luminance.
    void add(std::span<const float> band, int width, int rows) {
        for (int y = 0; y < rows; y += m_side) {
            for (int x = 0; x < width; x += m_side) {
                const Tile tile{band.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                                    static_cast<std::size_t>(x),
                                std::min(m_side, width - x), std::min(m_side, rows - y), static_cast<std::size_t>(width)};
                if (m_next++ % m_step != 0) continue;
                const auto noise = tile_noise(tile);
                if (noise) m_noises.push_back(*noise);
            }
        }
        // Edges need room on both sides: the band's whole width.
        const Tile whole{band.data(), width, rows, static_cast<std::size_t>(width)};
        add_edges(whole, m_noises.empty() ? 0 : noise_of(m_noises).sd_8bit, m_edges);
    }

    optics::Noise noise() const { return noise_of(m_noises); }
    optics::Blur blur() const { return blur_of(m_edges); }

  private:
    int m_side = 32;
    std::int64_t m_step = 1;
    std::int64_t m_next = 0;
    std::vector<double> m_noises;
    std::vector<EdgeWidth> m_edges;
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
    TileMeasure tiles(info.size);
    for (int first = 0; first < info.size.height; first += band_rows) {
        const int rows = std::min(band_rows, info.size.height - first);
        const auto used = std::span(samples).first(info.bytes_per_row() * static_cast<std::size_t>(rows));
        reader.read_rows(first, rows, used, progress);
        for (int y = 0; y < rows; ++y) {
            const auto row = used.subspan(static_cast<std::size_t>(y) * info.bytes_per_row(), info.bytes_per_row());
            count_row(info, row, counts);
            luminance_row(info, row, std::span(band).subspan(static_cast<std::size_t>(y) * width, width));
        }
        tiles.add(band, info.size.width, rows);
        progress.report("measuring", static_cast<double>(first + rows) / info.size.height);
    }
    return {tiles.noise(), tiles.blur(), counts.coloured == 0, share(counts.white, counts.pixels),
            share(counts.black, counts.pixels)};
}

}  // namespace hangtrue::picture
