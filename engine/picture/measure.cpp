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

// Noise and blur are looked for in bands spread evenly over large pictures: so many pixels tell enough.
constexpr std::int64_t pixels_wanted = 8'000'000;

class TileMeasure {
  public:
    TileMeasure(base::PixelSize size, int bits) : m_rounding_variance(bits == 8 ? 1.0 / 6 : 0) {
        m_side = std::min(size.width, size.height) >= 256 ? 32 : 16;
        m_step = static_cast<int>(std::max<std::int64_t>(1, size.count() / pixels_wanted));
    }

    bool wants_band(int index) const { return index % m_step == 0; }

    // A band of `rows` rows of luminance.
    void add(std::span<const float> band, int width, int rows) {
        const auto pitch = static_cast<std::size_t>(width);
        std::vector<TileRoughness> here;
        for (int y = 0; y < rows; y += m_side) {
            for (int x = 0; x < width; x += m_side) {
                const float* corner = band.data() + static_cast<std::size_t>(y) * pitch + static_cast<std::size_t>(x);
                const auto rough = tile_roughness({corner, std::min(m_side, width - x), std::min(m_side, rows - y), pitch});
                if (rough) here.push_back(*rough);
            }
        }
        m_edges.add({band.data(), width, rows, pitch}, noise_of(here));
        m_tiles.insert(m_tiles.end(), here.begin(), here.end());
    }

    optics::Noise noise() const {
        const double sd = noise_of(m_tiles).sd_8bit;
        return {std::sqrt(std::max(sd * sd - m_rounding_variance, 0.0))};
    }
    optics::Blur blur() const { return m_edges.sharpest(); }

  private:
    // What rounding to 8 bits looks like: 1/12 where it is random, up to twice that on ramps.
    double m_rounding_variance;
    int m_side = 32;
    int m_step = 1;
    std::vector<TileRoughness> m_tiles;  // 16 bytes for each 32 x 32 pixels of those wanted.
    EdgeWidths m_edges;
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
    TileMeasure tiles(info.size, info.bits);
    for (int first = 0; first < info.size.height; first += band_rows) {
        const int rows = std::min(band_rows, info.size.height - first);
        const auto used = std::span(samples).first(info.bytes_per_row() * static_cast<std::size_t>(rows));
        reader.read_rows(first, rows, used, progress);
        const bool is_wanted = tiles.wants_band(first / band_rows);
        for (int y = 0; y < rows; ++y) {
            const auto row = used.subspan(static_cast<std::size_t>(y) * info.bytes_per_row(), info.bytes_per_row());
            count_row(info, row, counts);
            if (is_wanted) luminance_row(info, row, std::span(band).subspan(static_cast<std::size_t>(y) * width, width));
        }
        if (is_wanted) tiles.add(band, info.size.width, rows);
        progress.report("measuring", static_cast<double>(first + rows) / info.size.height);
    }
    return {tiles.noise(), tiles.blur(), counts.coloured == 0, share(counts.white, counts.pixels),
            share(counts.black, counts.pixels)};
}

}  // namespace hangtrue::picture
