// SPDX-License-Identifier: Apache-2.0
#include "engine/render/block_maker.h"

#include <algorithm>
#include <cassert>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/render/borders.h"
#include "engine/render/grid.h"
#include "engine/sharpen/filter.h"

namespace hangtrue::render {
namespace {

/// A run of file pixels along one axis that stands for a run of image pixels, forwards or backwards.
struct Run {
    int file_first;
    int image_first;
    int count;
    bool backwards;
};

/// How file pixels [first, first + count) lie on an image that covers [start, start + length) and is mirrored
/// beyond both ends.
std::vector<Run> runs_along(int first, int count, int start, int length) {
    std::vector<Run> runs;
    const int last = first + count;
    const int end = start + length;
    if (const int stop = std::min(last, start); first < stop) {
        // File pixel start - 1 - k shows image pixel k.
        runs.push_back({first, std::max(0, start - stop), stop - first, true});
    }
    if (const int begin = std::max(first, start), stop = std::min(last, end); begin < stop) {
        runs.push_back({begin, begin - start, stop - begin, false});
    }
    if (const int begin = std::max(first, end); begin < last) {
        // File pixel end + k shows image pixel length - 1 - k.
        runs.push_back({begin, std::max(0, length - (last - end)), last - begin, true});
    }
    return runs;
}

/// The smallest part that holds both, where the first may be empty.
base::PixelRect enclosing(base::PixelRect a, base::PixelRect b) {
    if (a.empty()) return b;
    const int x = std::min(a.x, b.x);
    const int y = std::min(a.y, b.y);
    return {x, y, std::max(a.right(), b.right()) - x, std::max(a.bottom(), b.bottom()) - y};
}

colour::Planes row_of(const std::array<float*, 3>& planes, std::size_t offset, std::size_t count) {
    return {{planes[0] + offset, count}, {planes[1] + offset, count}, {planes[2] + offset, count}};
}

/// Black-and-white pictures are exactly grey from here on.
void make_neutral(const colour::Planes& row, std::array<float, 3> weights) {
    for (std::size_t i = 0; i < row.red.size(); ++i) {
        const float grey = weights[0] * row.red[i] + weights[1] * row.green[i] + weights[2] * row.blue[i];
        row.red[i] = row.green[i] = row.blue[i] = grey;
    }
}

std::array<float*, 3> planes_in(base::AlignedFloats& buffer, std::size_t floats_a_plane) {
    float* const first = buffer.room_for(3 * floats_a_plane);
    return {first, first + floats_a_plane, first + 2 * floats_a_plane};
}

}  // namespace

BlockMaker::BlockMaker(const Stages& stages, const raster::PictureInfo& picture, int shrunk_by, base::PixelRect wanted,
                       int threads)
    : m_stages(stages),
      m_picture(picture),
      m_mapping{stages.plan.geometry.crop, {stages.plan.geometry.image.width, stages.plan.geometry.image.height}},
      m_luminance_weights(stages.working.luminance_weights()),
      m_halo(sharpen::halo_px(stages.plan.sharpening.filter)) {
    base::RealRect& crop = m_mapping.crop;
    const plan::PlannedNetwork& network = stages.plan.network;
    const double scale = stages.network != nullptr ? 1 << network.doublings : 1.0 / shrunk_by;
    crop = {crop.x * scale, crop.y * scale, crop.width * scale, crop.height * scale};
    const base::PixelRect part = stages.network != nullptr ? enlarged_part(unmirrored(wanted)) : base::PixelRect{};
    if (part.empty()) return;  // Without a network, or borders alone.
    m_enlarged = std::make_unique<EnlargedBlocks>(
        *stages.network, network.measures, picture.size,
        EnlargedBlocks::Wanted{
            .doublings = network.doublings, .grain = network.grain, .part = part, .threads = threads},
        [this](base::PixelRect pixels, const SourceRows& rows, const std::array<float*, 3>& planes,
               std::size_t stride) { from_picture(pixels, rows, planes, stride); });
}

base::PixelRect BlockMaker::unmirrored(base::PixelRect part) const {
    if (m_stages.plan.geometry.mirrored) part.x = m_stages.plan.geometry.file.width - part.right();
    return part;
}

BlockMaker::RowRange BlockMaker::picture_rows(base::PixelRect part) const {
    const plan::Geometry& geometry = m_stages.plan.geometry;
    int first = geometry.image.height;
    int last = 0;
    for (const Run& run : runs_along(part.y, part.height, geometry.image.y, geometry.image.height)) {
        if (geometry.fill == plan::Fill::colour && run.backwards) continue;
        first = std::min(first, run.image_first);
        last = std::max(last, run.image_first + run.count);
    }
    if (first >= last) return {0, 0};
    first = std::max(0, first - m_halo);
    last = std::min(geometry.image.height, last + m_halo);
    const base::PixelRect needed = enlarge::pixels_needed(m_mapping, {0, first, geometry.image.width, last - first});
    if (m_stages.network != nullptr && !m_enlarged) return {0, 0};
    if (m_enlarged) {
        const base::PixelRect filled = with_compared(needed);
        const auto [top, bottom] = m_enlarged->picture_rows(filled.y, filled.bottom());
        return {top, bottom};
    }
    return {std::clamp(needed.y, 0, m_picture.size.height - 1), std::clamp(needed.bottom(), 1, m_picture.size.height)};
}

base::PixelRect BlockMaker::enlarged_part(base::PixelRect part) const {
    const plan::Geometry& geometry = m_stages.plan.geometry;
    base::PixelRect image;
    for (const Run& y_run : runs_along(part.y, part.height, geometry.image.y, geometry.image.height)) {
        for (const Run& x_run : runs_along(part.x, part.width, geometry.image.x, geometry.image.width)) {
            if (geometry.fill == plan::Fill::colour && (x_run.backwards || y_run.backwards)) continue;
            image = enclosing(image, {x_run.image_first, y_run.image_first, x_run.count, y_run.count});
        }
    }
    if (image.empty()) return {};
    const base::PixelRect with_halo{image.x - m_halo, image.y - m_halo, image.width + 2 * m_halo,
                                    image.height + 2 * m_halo};
    return with_compared(enlarge::pixels_needed(
        m_mapping, base::intersection(with_halo, {0, 0, geometry.image.width, geometry.image.height})));
}

int BlockMaker::announce(base::PixelRect part, const SourceRows& rows) const {
    return m_enlarged ? m_enlarged->announce(enlarged_part(unmirrored(part)), rows) : 0;
}

void BlockMaker::make_announced(const base::Progress& progress) const { m_enlarged->make_announced(progress); }

void BlockMaker::forget_above(base::PixelRect part) const {
    if (m_enlarged) m_enlarged->forget_above(enlarged_part(unmirrored(part)).y);
}

BlockPlanes BlockMaker::made(base::PixelRect block, const SourceRows& rows, BlockScratch& scratch,
                             const base::Progress& progress) const {
    const BlockPlanes planes = made_upright(unmirrored(block), rows, scratch, progress);
    if (m_stages.plan.geometry.mirrored) {
        for (float* plane : planes.planes) {
            for (int y = 0; y < block.height; ++y) {
                float* row = plane + static_cast<std::size_t>(y) * planes.stride;
                std::reverse(row, row + block.width);
            }
        }
    }
    return planes;
}

BlockPlanes BlockMaker::made_upright(base::PixelRect block, const SourceRows& rows, BlockScratch& scratch,
                                     const base::Progress& progress) const {
    const base::PixelRect image = m_stages.plan.geometry.image;
    if (base::intersection(block, image) == block) {
        return image_part({block.x - image.x, block.y - image.y, block.width, block.height}, rows, scratch, progress);
    }
    return with_fill(block, rows, scratch, progress);
}

BlockPlanes BlockMaker::with_fill(base::PixelRect block, const SourceRows& rows, BlockScratch& scratch,
                                  const base::Progress& progress) const {
    const plan::Geometry& geometry = m_stages.plan.geometry;
    const bool mirror = geometry.fill == plan::Fill::mirror;
    BlockPlanes result;
    result.stride = base::aligned_floats(static_cast<std::size_t>(block.width));
    const std::size_t floats = result.stride * static_cast<std::size_t>(block.height);
    result.planes = planes_in(scratch.composed, floats);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        std::fill_n(result.planes[channel], floats, m_stages.fill[channel]);
    }
    const auto across = runs_along(block.x, block.width, geometry.image.x, geometry.image.width);
    const auto down = runs_along(block.y, block.height, geometry.image.y, geometry.image.height);
    for (const Run& y_run : down) {
        for (const Run& x_run : across) {
            if (!mirror && (x_run.backwards || y_run.backwards)) continue;
            const BlockPlanes part =
                image_part({x_run.image_first, y_run.image_first, x_run.count, y_run.count}, rows, scratch, progress);
            for (std::size_t channel = 0; channel < 3; ++channel) {
                for (int y = 0; y < y_run.count; ++y) {
                    const int from_y = y_run.backwards ? y_run.count - 1 - y : y;
                    const float* from = part.planes[channel] + static_cast<std::size_t>(from_y) * part.stride;
                    float* to = result.planes[channel] +
                                static_cast<std::size_t>(y_run.file_first - block.y + y) * result.stride +
                                (x_run.file_first - block.x);
                    x_run.backwards ? void(std::reverse_copy(from, from + x_run.count, to))
                                    : void(std::copy_n(from, x_run.count, to));
                }
            }
        }
    }
    return result;
}

void BlockMaker::fill_source(base::PixelRect needed, const SourceRows& rows, const std::array<float*, 3>& planes,
                             std::size_t stride, const base::Progress& progress) const {
    if (m_enlarged) {
        m_enlarged->fill(needed, rows, planes, stride, progress);
        if (m_stages.plan.picture.is_neutral) {
            for (int y = 0; y < needed.height; ++y) {
                make_neutral(
                    row_of(planes, static_cast<std::size_t>(y) * stride, static_cast<std::size_t>(needed.width)),
                    m_luminance_weights);
            }
        }
        return;
    }
    const base::PixelSize size = m_picture.size;
    const base::PixelRect inside = base::intersection(needed, {0, 0, size.width, size.height});
    const base::PixelRect inner{inside.x - needed.x, inside.y - needed.y, inside.width, inside.height};
    const std::size_t start = static_cast<std::size_t>(inner.y) * stride + static_cast<std::size_t>(inner.x);
    from_picture(inside, rows, {planes[0] + start, planes[1] + start, planes[2] + start}, stride);
    extend(planes, stride, {needed.width, needed.height}, inner, Beyond::repeated);
}

/// `needed`, and around it what the blocks of the picture that begin there are compared by. The first needed pixel
/// stays on a 64-byte boundary.
base::PixelRect BlockMaker::with_compared(base::PixelRect needed) const {
    if (m_stages.likeness == nullptr) return needed;
    const base::PixelRect blocks = m_stages.likeness->blocks_in(needed);
    if (blocks.empty()) return needed;
    const base::PixelRect compared = m_stages.likeness->enlarged_part(blocks);
    const int lead = std::max(0, needed.x - compared.x);
    const int x = needed.x - static_cast<int>(base::aligned_floats(static_cast<std::size_t>(lead)));
    const int y = std::min(needed.y, compared.y);
    return {x, y, std::max(needed.right(), compared.right()) - x, std::max(needed.bottom(), compared.bottom()) - y};
}

void BlockMaker::note_likeness(base::PixelRect needed, const LikenessRecord::Planes& enlarged, const SourceRows& rows,
                               BlockScratch& scratch) const {
    const base::PixelRect blocks = m_stages.likeness->blocks_in(needed);
    if (blocks.empty()) return;
    constexpr int side = Likeness::block_px;
    const base::PixelRect part{blocks.x * side, blocks.y * side, blocks.width * side, blocks.height * side};
    const auto stride = static_cast<std::size_t>(part.width);
    const std::array<float*, 3> picture = planes_in(scratch.compared, stride * static_cast<std::size_t>(part.height));
    from_picture(part, rows, picture, stride);
    m_stages.likeness->take(blocks, {{picture[0], picture[1], picture[2]}, stride, part}, enlarged, scratch.work);
}

void BlockMaker::from_picture(base::PixelRect part, const SourceRows& rows, const std::array<float*, 3>& planes,
                              std::size_t stride) const {
    const auto count = static_cast<std::size_t>(part.width);
    const bool linear = m_stages.plan.resampling == plan::Resampling::reduce_linear;
    for (int y = 0; y < part.height; ++y) {
        const colour::Planes row = row_of(planes, static_cast<std::size_t>(y) * stride, count);
        row_into_planes(rows, part.x, part.y + y, m_picture, m_stages.working, row);
        if (m_stages.plan.picture.is_neutral) make_neutral(row, m_luminance_weights);
        if (linear) m_stages.working.to_linear(row);
    }
}

BlockPlanes BlockMaker::image_part(base::PixelRect part, const SourceRows& rows, BlockScratch& scratch,
                                   const base::Progress& progress) const {
    const base::PixelSize image = m_mapping.image;
    const base::PixelRect with_halo{part.x - m_halo, part.y - m_halo, part.width + 2 * m_halo,
                                    part.height + 2 * m_halo};
    const base::PixelRect region = base::intersection(with_halo, {0, 0, image.width, image.height});

    // Decode into the working form (and linear light when reducing), the network's enlarging included.
    const enlarge::PartResampler resampler(m_mapping, region);
    const base::PixelRect needed = resampler.needed();
    const base::PixelRect filled = with_compared(needed);
    const std::size_t source_stride = base::aligned_floats(static_cast<std::size_t>(filled.width));
    const std::size_t source_floats = source_stride * static_cast<std::size_t>(filled.height);
    const std::array<float*, 3> source = planes_in(scratch.source, source_floats);
    fill_source(filled, rows, source, source_stride, progress);
    if (m_stages.likeness != nullptr) {
        note_likeness(needed, {{source[0], source[1], source[2]}, source_stride, filled}, rows, scratch);
    }
    const std::size_t to_needed =
        static_cast<std::size_t>(needed.y - filled.y) * source_stride + static_cast<std::size_t>(needed.x - filled.x);

    // Enlarge or reduce to the exact grid. The region's first pixel stands on a 64-byte boundary, as the resampler
    // needs it; the block with its halo begins up to m_halo floats before.
    const std::size_t lead = base::aligned_floats(static_cast<std::size_t>(m_halo));
    BlockPlanes result;
    result.stride = lead + base::aligned_floats(static_cast<std::size_t>(with_halo.width)) + base::float_alignment;
    const std::size_t work_floats = result.stride * static_cast<std::size_t>(with_halo.height + 1);
    const std::array<float*, 3> work = planes_in(scratch.work, work_floats);
    const int left = region.x - with_halo.x;
    const int top = region.y - with_halo.y;
    std::array<float*, 3> origin{};
    float* const resampling_scratch = scratch.resampling.room_for(resampler.scratch_floats());
    for (std::size_t channel = 0; channel < 3; ++channel) {
        float* const region_start = work[channel] + static_cast<std::size_t>(top) * result.stride + lead;
        origin[channel] = region_start - left - static_cast<std::size_t>(top) * result.stride;
        resampler.resample({source[channel] + to_needed, source_stride}, {region_start, result.stride},
                           resampling_scratch);
    }
    if (m_stages.plan.resampling == plan::Resampling::reduce_linear) {
        for (int y = top; y < top + region.height; ++y) {
            const std::size_t offset = static_cast<std::size_t>(y) * result.stride + static_cast<std::size_t>(left);
            m_stages.working.to_encoded(row_of(origin, offset, static_cast<std::size_t>(region.width)));
        }
    }

    // Sharpen.
    if (m_halo > 0) {
        extend(origin, result.stride, {with_halo.width, with_halo.height}, {left, top, region.width, region.height},
               Beyond::repeated);
        const sharpen::Filter& filter = m_stages.plan.sharpening.filter;
        const std::size_t scratch_size = sharpen::scratch_floats(filter, with_halo.width, with_halo.height);
        sharpen::apply(filter, m_luminance_weights, {origin, with_halo.width, with_halo.height, result.stride},
                       {scratch.sharpening.room_for(scratch_size), scratch_size});
    }

    // Correct and convert to the file space.
    for (std::size_t channel = 0; channel < 3; ++channel) {
        result.planes[channel] = origin[channel] + static_cast<std::size_t>(m_halo) * result.stride + m_halo;
    }
    if (m_stages.conversion == nullptr) return result;
    for (int y = 0; y < part.height; ++y) {
        m_stages.conversion->apply(
            row_of(result.planes, static_cast<std::size_t>(y) * result.stride, static_cast<std::size_t>(part.width)));
    }
    return result;
}

}  // namespace hangtrue::render
