// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/measure.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "engine/optics/noise.h"
#include "engine/picture/blocking.h"
#include "engine/picture/coding.h"
#include "engine/picture/detail.h"
#include "engine/picture/edges.h"
#include "engine/picture/enlarged_before.h"
#include "engine/picture/halos.h"
#include "engine/picture/luminance.h"
#include "engine/picture/picture_tiles.h"

namespace hangtrue::picture {
namespace {

constexpr int band_rows = 32;

// Noise, blur, halos and blocks are looked for in bands spread evenly over large pictures: so many pixels tell enough.
constexpr std::int64_t pixels_wanted = 8'000'000;

constexpr std::size_t most_shown = 12;

double rounding_variance(int bits) { return bits == 8 ? 1.0 / 12 : 0; }

class BandMeasure {
  public:
    BandMeasure(base::PixelSize size, int bits) : m_rounding_variance(rounding_variance(bits)) {
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
        const Plane plane{band.data(), width, rows, pitch};
        m_edges.add(plane);
        m_halos.add(plane);
        m_blocking.add(plane);
    }

    optics::Noise noise() const { return noise_of(m_tiles, m_rounding_variance); }
    std::vector<NoiseAtBrightness> by_brightness() const { return noise_by_brightness(m_tiles, m_rounding_variance); }
    optics::Blur blur(const optics::Noise& noise) const { return m_edges.blur(noise); }
    double overshoot(const optics::Noise& noise) const { return m_halos.overshoot(noise); }
    double blocking() const { return m_blocking.ratio(); }

  private:
    double m_rounding_variance;  // Of rounding to 8 bits, of 16 it is nothing.
    int m_step = 1;
    std::vector<TileBands> m_tiles;  // 28 bytes for each 16 x 16 pixels of those wanted.
    PictureEdges m_edges;
    HaloCounts m_halos;
    BlockingTraces m_blocking;
};

double share(std::int64_t part, std::int64_t whole) {
    return whole == 0 ? 0 : static_cast<double>(part) / static_cast<double>(whole);
}

// Texture can make noise seem stronger than it is, but not where the quietest tiles show it alone.
optics::Noise without_texture(const optics::Noise& noise, double white_power) {
    if (!(white_power > 0)) return noise;
    const double variance = noise.sd_8bit * noise.sd_8bit;
    const double coarse = variance * noise.coarse_share;
    const double fine = std::min(variance - coarse, white_power * (1 - optics::white_coarse_share));
    const double sum = coarse + fine;
    return sum > 0 ? optics::Noise{std::sqrt(sum), coarse / sum} : optics::Noise{};
}

void add_spectrum(Detail& result, const std::vector<TilePower>& tiles, const Resolved& found) {
    result.spectrum_cycles_per_px = found.cycles_per_px;
    if (found.cycles_per_px > 0) {
        for (int ring = 1; ring <= spectrum_side / 2; ++ring) {
            const auto r = static_cast<std::size_t>(ring);
            result.spectrum.push_back({ring_frequency(ring), found.power[r], found.noise[r]});
        }
    }
    for (const std::size_t i : found.sharpest) {
        if (result.sharpest.size() < most_shown) result.sharpest.push_back(tiles[i].where);
    }
}

}  // namespace

Detail detail(raster::RowReader& reader, base::Progress& progress, int threads) {
    const raster::PictureInfo& info = reader.info();
    const auto width = static_cast<std::size_t>(info.size.width);
    std::vector<std::byte> samples(info.bytes_per_row() * band_rows);
    std::vector<float> band(width * band_rows);
    Counts counts;
    BandMeasure measure(info.size, info.bits);
    PictureTiles tiles(info.size, threads);
    EnlargedTraces enlarged(info.size);
    std::optional<CodingTraces> traces;
    if (info.format != raster::FileFormat::jpeg && info.model != raster::SampleModel::lab)
        traces.emplace(info.size, measure.share());
    for (int first = 0; first < info.size.height; first += band_rows) {
        const int rows = std::min(band_rows, info.size.height - first);
        const auto used = std::span(samples).first(info.bytes_per_row() * static_cast<std::size_t>(rows));
        reader.read_rows(first, rows, used, progress);
        for (int y = 0; y < rows; ++y) {
            const auto row = used.subspan(static_cast<std::size_t>(y) * info.bytes_per_row(), info.bytes_per_row());
            const auto luminance = std::span(band).subspan(static_cast<std::size_t>(y) * width, width);
            count_row(info, row, counts);
            luminance_row(info, row, luminance);
            enlarged.add_row(luminance);
            tiles.add_row(luminance);
        }
        const bool is_wanted = measure.wants_band(first / band_rows);
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

    Detail result;
    Measured& measured = result.measured;
    const std::vector<TilePower> all = tiles.tiles();
    const optics::Noise of_small_tiles = measure.noise();
    measured.noise = without_texture(of_small_tiles, white_noise_power(all) - rounding_variance(info.bits));
    measured.blur = measure.blur(of_small_tiles);  // Near edges texture counts as noise does.
    measured.jpeg_coding = traces ? traces->jpeg_coding() : 0;
    measured.is_neutral = counts.coloured == 0;
    measured.clipped_white = share(counts.white, counts.pixels);
    measured.clipped_black = share(counts.black, counts.pixels);
    measured.halo_overshoot = measure.overshoot(measured.noise);
    measured.blocking = measure.blocking();
    result.noise_by_brightness = measure.by_brightness();

    const double coding = info.jpeg_coding > 0 ? info.jpeg_coding : measured.jpeg_coding;
    const NoisePower noise_power = [&](double cycles_per_px) {
        constexpr double least = 1e-3;  // Of 16 bits nothing is told below it.
        const double white = optics::noise_as_white(measured.noise, cycles_per_px);
        return white * white + std::max(rounding_variance(info.bits), least) + coded_power(coding, cycles_per_px);
    };
    const Resolved found = resolved(all, noise_power, tiles.tile_side(), coding > 0);
    add_spectrum(result, all, found);
    measured.enlarged_before = enlarged.factor(found, coding > 0);
    measured.detail_cycles_per_px = std::min(found.cycles_per_px, 0.5 / measured.enlarged_before);
    return result;
}

Measured measured(raster::RowReader& reader, base::Progress& progress, int threads) {
    return detail(reader, progress, threads).measured;
}

double true_pixels(base::PixelSize size, double cycles_per_px) {
    const double share = std::min(cycles_per_px / 0.5, 1.0);
    return static_cast<double>(size.count()) * share * share;
}

int jpeg_quality(double jpeg_coding) {
    if (!(jpeg_coding > 0)) return 0;
    // Their scale S of the example table, in percent: 5000 / q below q = 50, else 200 - 2 q.
    const double scale = 100 * jpeg_coding;
    const double quality = scale > 100 ? 5000 / scale : (200 - scale) / 2;
    return static_cast<int>(std::lround(std::clamp(quality, 1.0, 100.0)));
}

}  // namespace hangtrue::picture
