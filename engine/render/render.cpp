// SPDX-License-Identifier: Apache-2.0
#include "engine/render/render.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cassert>
#include <cstring>
#include <deque>
#include <optional>
#include <span>
#include <utility>

#include "engine/base/error.h"
#include "engine/base/workers.h"
#include "engine/render/grid.h"
#include "engine/render/quantise.h"
#include "engine/render/shrunk_rows.h"

namespace hangtrue::render {
namespace {

/// Whole blocks of the grid: bands [first_band, last_band), columns [first_column, last_column).
struct BlockRange {
    int first_band, last_band;
    int first_column, last_column;
};

BlockRange blocks_under(base::PixelRect window) {
    return {window.y / block_height, (window.bottom() + block_height - 1) / block_height, window.x / block_width,
            (window.right() + block_width - 1) / block_width};
}

struct BandUnderWay {
    Band band;
    SourceRows rows;
    std::atomic<int> blocks_left{0};
    base::Workers::Group group;
};

std::size_t bytes_per_pixel(const plan::Plan& plan) { return static_cast<std::size_t>(3 * plan.file.bits / 8); }

Dither dither_of(const plan::Plan& plan) {
    if (plan.versions.dither == 0) return Dither::none;
    return plan.picture.is_neutral ? Dither::alike : Dither::each_channel;
}

void quantise_into(Band& band, base::PixelRect block, const BlockPlanes& planes, const plan::Plan& plan) {
    const std::size_t pixel_bytes = bytes_per_pixel(plan);
    const auto width = static_cast<std::size_t>(block.width);
    for (int y = 0; y < block.height; ++y) {
        const std::size_t offset = static_cast<std::size_t>(y) * planes.stride;
        const PlaneRow row{planes.planes[0] + offset, planes.planes[1] + offset, planes.planes[2] + offset, width};
        std::byte* out = band.samples.data() + (static_cast<std::size_t>(block.y + y - band.rect.y) *
                                                    static_cast<std::size_t>(band.rect.width) +
                                                static_cast<std::size_t>(block.x - band.rect.x)) *
                                                   pixel_bytes;
        if (plan.file.bits == 8) {
            quantise_row_8(row, block.x, block.y + y, dither_of(plan),
                           {reinterpret_cast<std::uint8_t*>(out), 3 * width});
        } else {
            quantise_row_16(row, {reinterpret_cast<std::uint16_t*>(out), 3 * width});
        }
    }
}

/// The first picture row that any band from `band` on needs; a canvas mirrored round its lower bar goes back.
std::vector<int> rows_to_keep_from(const BlockMaker& maker, base::PixelSize file, const BlockRange& range) {
    std::vector<int> keep(static_cast<std::size_t>(range.last_band - range.first_band + 1), 0x7fffffff);
    for (int band = range.last_band - 1; band >= range.first_band; --band) {
        const auto rows = maker.picture_rows(band_rect(file, band));
        const auto at = static_cast<std::size_t>(band - range.first_band);
        keep[at] = rows.first < rows.last ? std::min(rows.first, keep[at + 1]) : keep[at + 1];
    }
    return keep;
}

void render_blocks(const Stages& stages, raster::RowReader& picture, base::PixelRect window, int threads,
                   BandSink& sink, base::Progress& progress) {
    if (!(picture.info().size == stages.plan.picture.size)) {
        throw base::UnreadableInput(stages.plan.picture.name +
                                    " is not the picture that this plan was made for: its size in pixels is another.");
    }
    const base::PixelSize file = stages.plan.geometry.file;
    const BlockRange range = blocks_under(window);
    const int shrunk_by = shrink_factor(stages.plan.geometry.image.width / stages.plan.geometry.crop.width);
    std::optional<ShrunkRows> shrunk;
    if (shrunk_by > 1) shrunk.emplace(picture, shrunk_by);
    raster::RowReader& rows_of_picture = shrunk ? static_cast<raster::RowReader&>(*shrunk) : picture;
    const BlockMaker maker(stages, rows_of_picture.info(), shrunk_by, window, threads);
    const std::vector<int> keep_from = rows_to_keep_from(maker, file, range);
    const int columns = range.last_column - range.first_column;
    // Enough blocks for every worker while the oldest band is handed on, and no more: each band costs memory. A
    // network's pieces are as high as a few bands: who waits for one shall find the next ones announced.
    const int spare_bands = stages.network != nullptr ? 4 : 2;
    const auto most_under_way = static_cast<std::size_t>(spare_bands + (threads + columns - 1) / columns);

    SourceWindow source(rows_of_picture);
    std::vector<BlockScratch> scratch(static_cast<std::size_t>(std::max(1, threads)));
    std::deque<BandUnderWay> under_way;
    std::vector<std::vector<std::byte>> spare_buffers;
    base::Workers workers(threads);  // last: ends before what its tasks use

    const int bands = range.last_band - range.first_band;
    int handed_on = 0;
    const auto hand_on_oldest = [&] {
        BandUnderWay& oldest = under_way.front();
        oldest.group.wait();
        sink.take(oldest.band);
        spare_buffers.push_back(std::move(oldest.band.samples));
        under_way.pop_front();
        if (!under_way.empty()) maker.forget_above(under_way.front().band.rect);
        progress.report("making", static_cast<double>(++handed_on) / bands);
    };

    for (int number = range.first_band; number < range.last_band; ++number) {
        if (under_way.size() >= most_under_way) hand_on_oldest();
        BandUnderWay& current = under_way.emplace_back();
        current.band.number = number;
        const base::PixelRect across = band_rect(file, number);
        const int left = range.first_column * block_width;
        current.band.rect = {left, across.y, std::min(file.width, range.last_column * block_width) - left,
                             across.height};
        if (!spare_buffers.empty()) {
            current.band.samples = std::move(spare_buffers.back());
            spare_buffers.pop_back();
        }
        current.band.samples.resize(static_cast<std::size_t>(current.band.rect.width) *
                                    static_cast<std::size_t>(current.band.rect.height) * bytes_per_pixel(stages.plan));
        const auto rows = maker.picture_rows(across);
        if (rows.first < rows.last) {
            const auto at = static_cast<std::size_t>(number - range.first_band);
            current.rows = source.rows(rows.first, rows.last, keep_from[at], progress);
        }
        current.blocks_left = columns;
        for (int pieces = maker.announce(current.band.rect, current.rows); pieces > 0; --pieces) {
            workers.submit(current.group, [&](int) { maker.make_announced(progress); });
        }
        for (int column = range.first_column; column < range.last_column; ++column) {
            workers.submit(current.group, [&, column](int worker) {
                progress.check();
                const base::PixelRect block = block_rect(file, column, current.band.number);
                BlockScratch& own = scratch[static_cast<std::size_t>(worker)];
                quantise_into(current.band, block, maker.made(block, current.rows, own, progress), stages.plan);
                if (--current.blocks_left == 0) {
                    current.rows = {};
                    sink.prepare(current.band);
                }
            });
        }
    }
    while (!under_way.empty()) hand_on_oldest();
}

/// Cuts a window out of the bands that cover it.
class WindowSink : public BandSink {
  public:
    WindowSink(base::PixelRect window, std::size_t pixel_bytes)
        : m_window(window),
          m_pixel_bytes(pixel_bytes),
          m_samples(static_cast<std::size_t>(window.width) * static_cast<std::size_t>(window.height) * pixel_bytes) {}

    void take(Band& band) override {
        const base::PixelRect common = base::intersection(band.rect, m_window);
        if (common.empty()) return;
        const std::size_t run = static_cast<std::size_t>(common.width) * m_pixel_bytes;
        for (int y = common.y; y < common.bottom(); ++y) {
            const auto offset = [&](base::PixelRect rect) {
                return (static_cast<std::size_t>(y - rect.y) * static_cast<std::size_t>(rect.width) +
                        static_cast<std::size_t>(common.x - rect.x)) *
                       m_pixel_bytes;
            };
            std::memcpy(m_samples.data() + offset(m_window), band.samples.data() + offset(band.rect), run);
        }
    }
    std::vector<std::byte> samples() && { return std::move(m_samples); }

  private:
    base::PixelRect m_window;
    std::size_t m_pixel_bytes;
    std::vector<std::byte> m_samples;
};

/// A block's planes, apart from the worker's scratch, in which the next conversion shall find them as they were.
class KeptPlanes {
  public:
    KeptPlanes(const BlockPlanes& planes, base::PixelRect block) : m_stride(static_cast<std::size_t>(block.width)) {
        for (std::size_t channel = 0; channel < 3; ++channel) {
            for (int y = 0; y < block.height; ++y) {
                const float* row = planes.planes[channel] + static_cast<std::size_t>(y) * planes.stride;
                m_floats[channel].insert(m_floats[channel].end(), row, row + m_stride);
            }
        }
    }
    void convert(const colour::Conversion& conversion) { conversion.apply({m_floats[0], m_floats[1], m_floats[2]}); }
    BlockPlanes planes() { return {{m_floats[0].data(), m_floats[1].data(), m_floats[2].data()}, m_stride}; }

  private:
    std::array<std::vector<float>, 3> m_floats;
    std::size_t m_stride;
};

}  // namespace

void render_file(const Stages& stages, raster::RowReader& picture, int threads, BandSink& sink,
                 base::Progress& progress) {
    const base::PixelSize file = stages.plan.geometry.file;
    render_window(stages, picture, {0, 0, file.width, file.height}, threads, sink, progress);
}

void render_window(const Stages& stages, raster::RowReader& picture, base::PixelRect window, int threads,
                   BandSink& sink, base::Progress& progress) {
    render_blocks(stages, picture, window, threads, sink, progress);
}

std::vector<std::byte> rendered_window(const Stages& stages, raster::RowReader& picture, base::PixelRect window,
                                       int threads, base::Progress& progress) {
    WindowSink sink(window, bytes_per_pixel(stages.plan));
    render_window(stages, picture, window, threads, sink, progress);
    return std::move(sink).samples();
}

std::vector<std::vector<std::byte>> rendered_variants(const Stages& stages,
                                                      std::span<const colour::Conversion* const> conversions,
                                                      raster::RowReader& picture, base::PixelRect window,
                                                      base::Progress& progress) {
    const plan::Plan& plan = stages.plan;
    assert(base::intersection(window, plan.geometry.image) == window && !plan.geometry.mirrored);
    Stages uncoloured = stages;
    uncoloured.conversion = nullptr;
    const int shrunk_by = shrink_factor(plan.geometry.image.width / plan.geometry.crop.width);
    std::optional<ShrunkRows> shrunk;
    if (shrunk_by > 1) shrunk.emplace(picture, shrunk_by);
    raster::RowReader& rows_of_picture = shrunk ? static_cast<raster::RowReader&>(*shrunk) : picture;
    const BlockMaker maker(uncoloured, rows_of_picture.info(), shrunk_by, window, 1);
    SourceWindow source(rows_of_picture);
    BlockScratch scratch;
    std::vector<WindowSink> sinks(conversions.size(), WindowSink(window, bytes_per_pixel(plan)));
    const BlockRange range = blocks_under(window);
    const std::vector<int> keep_from = rows_to_keep_from(maker, plan.geometry.file, range);
    for (int number = range.first_band; number < range.last_band; ++number) {
        const base::PixelRect across = band_rect(plan.geometry.file, number);
        const auto wanted = maker.picture_rows(across);
        const SourceRows rows = source.rows(wanted.first, wanted.last,
                                            keep_from[static_cast<std::size_t>(number - range.first_band)], progress);
        for (int pieces = maker.announce(across, rows); pieces > 0; --pieces) maker.make_announced(progress);
        for (int column = range.first_column; column < range.last_column; ++column) {
            const base::PixelRect block = block_rect(plan.geometry.file, column, number);
            const KeptPlanes kept(maker.made(block, rows, scratch, progress), block);
            for (std::size_t i = 0; i < conversions.size(); ++i) {
                progress.check();
                KeptPlanes converted = kept;
                converted.convert(*conversions[i]);
                Band band{number, block, {}, {}};
                band.samples.resize(static_cast<std::size_t>(block.width) * static_cast<std::size_t>(block.height) *
                                    bytes_per_pixel(plan));
                quantise_into(band, block, converted.planes(), plan);
                sinks[i].take(band);
            }
        }
    }
    std::vector<std::vector<std::byte>> variants;
    for (WindowSink& sink : sinks) variants.push_back(std::move(sink).samples());
    return variants;
}

}  // namespace hangtrue::render
