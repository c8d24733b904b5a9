// SPDX-License-Identifier: Apache-2.0
#include "engine/render/enlarged_blocks.h"

#include <algorithm>
#include <utility>

#include "engine/render/borders.h"

namespace hangtrue::render {
namespace {

constexpr int source_side = enlarge::Network::block_px;  // Of a block, on the grid that it is computed from.
constexpr int side = 2 * source_side;                    // Of a block, on its own grid.
constexpr std::size_t floats_a_plane = std::size_t{side} * side;

base::PixelRect whole(base::PixelSize size) { return {0, 0, size.width, size.height}; }

/// `part` counted from the upper left corner of `frame`.
base::PixelRect seen_from(base::PixelRect part, base::PixelRect frame) {
    return {part.x - frame.x, part.y - frame.y, part.width, part.height};
}

/// What of the picture half as large `part` comes from, with `halo` pixels around.
base::PixelRect smaller_part(base::PixelRect part, int halo) {
    const int x = (part.x >> 1) - halo;
    const int y = (part.y >> 1) - halo;
    return {x, y, ((part.right() + 1) >> 1) + halo - x, ((part.bottom() + 1) >> 1) + halo - y};
}

std::array<float*, 3> planes_in(base::AlignedFloats& buffer, base::PixelRect size) {
    const auto floats = static_cast<std::size_t>(size.width) * static_cast<std::size_t>(size.height);
    float* const first = buffer.room_for(3 * floats);
    return {first, first + floats, first + 2 * floats};
}

std::array<float*, 3> moved(const std::array<float*, 3>& planes, base::PixelRect to, std::size_t stride) {
    const std::size_t by = static_cast<std::size_t>(to.y) * stride + static_cast<std::size_t>(to.x);
    return {planes[0] + by, planes[1] + by, planes[2] + by};
}

}  // namespace

EnlargedBlocks::EnlargedBlocks(const enlarge::Network& network, const enlarge::Measures& measures,
                               base::PixelSize picture, int doublings, enlarge::Grain grain, FromPicture from_picture,
                               std::size_t kept_bytes)
    : m_network(network),
      m_measures(measures),
      m_grain(grain),
      m_first_calm(measures, enlarge::Grain::calm),
      m_first_kept(measures, grain),
      m_second(enlarge::Measures{}),
      m_picture(picture),
      m_doublings(doublings),
      m_from_picture(std::move(from_picture)),
      m_most_blocks(std::max<std::size_t>(1, kept_bytes / (3 * floats_a_plane * sizeof(float)))) {}

base::PixelSize EnlargedBlocks::size_after(int doublings) const {
    return {m_picture.width << doublings, m_picture.height << doublings};
}

const enlarge::Consistency& EnlargedBlocks::consistency(int doubling, enlarge::Grain grain) const {
    if (doubling > 1) return m_second;
    return grain == enlarge::Grain::calm ? m_first_calm : m_first_kept;
}

std::pair<int, int> EnlargedBlocks::picture_rows(int first, int last) const {
    for (int doubling = m_doublings; doubling > 0; --doubling) {
        const int height = size_after(doubling - 1).height;
        const base::PixelRect smaller =
            smaller_part({0, first, 1, last - first}, consistency(doubling, m_grain).halo_px());
        const int first_block = std::clamp(smaller.y, 0, height - 1) / source_side;
        const int last_block = std::clamp(smaller.bottom() - 1, 0, height - 1) / source_side;
        first = first_block * source_side - m_network.halo_px();
        last = (last_block + 1) * source_side + m_network.halo_px();
    }
    return {std::clamp(first, 0, m_picture.height - 1), std::clamp(last, 1, m_picture.height)};
}

void EnlargedBlocks::fill(base::PixelRect part, const SourceRows& rows, const std::array<float*, 3>& planes,
                          std::size_t stride, Scratch& scratch, const base::Progress& progress) {
    fill_extended(m_doublings, m_grain, part, Beyond::repeated, rows, planes, stride, scratch, progress);
}

void EnlargedBlocks::fill_inside(int doubling, enlarge::Grain grain, base::PixelRect part, const SourceRows& rows,
                                 const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                                 const base::Progress& progress) {
    if (doubling == 0) {
        m_from_picture(part, rows, planes, stride);
        return;
    }
    Scratch::OfDoubling& own = scratch.doublings[static_cast<std::size_t>(doubling - 1)];
    const enlarge::Consistency& consistent = consistency(doubling, grain);
    const base::PixelRect smaller = smaller_part(part, consistent.halo_px());
    const base::PixelRect larger{2 * smaller.x, 2 * smaller.y, 2 * smaller.width, 2 * smaller.height};
    const auto smaller_stride = static_cast<std::size_t>(smaller.width);
    const std::array<float*, 3> picture = planes_in(own.smaller, smaller);
    fill_extended(doubling - 1, grain, smaller, Beyond::mirrored, rows, picture, smaller_stride, scratch, progress);

    const std::array<float*, 3> enlarged = planes_in(own.larger, larger);
    const base::PixelRect inside = base::intersection(larger, whole(size_after(doubling)));
    const base::PixelRect inner = seen_from(inside, larger);
    fill_from_blocks(doubling, inside, rows, moved(enlarged, inner, 2 * smaller_stride), 2 * smaller_stride, scratch,
                     progress);
    extend(enlarged, 2 * smaller_stride, {larger.width, larger.height}, inner, Beyond::mirrored);

    consistent.apply({{picture[0], picture[1], picture[2]}, smaller_stride}, smaller.width, smaller.height,
                     {enlarged, 2 * smaller_stride}, scratch.consistency);
    const auto from = moved(enlarged, seen_from(part, larger), 2 * smaller_stride);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (int y = 0; y < part.height; ++y) {
            std::copy_n(from[channel] + static_cast<std::size_t>(y) * 2 * smaller_stride, part.width,
                        planes[channel] + static_cast<std::size_t>(y) * stride);
        }
    }
}

/// The same, where `part` may reach beyond the picture.
void EnlargedBlocks::fill_extended(int doubling, enlarge::Grain grain, base::PixelRect part, Beyond beyond,
                                   const SourceRows& rows, const std::array<float*, 3>& planes, std::size_t stride,
                                   Scratch& scratch, const base::Progress& progress) {
    const base::PixelRect inside = base::intersection(part, whole(size_after(doubling)));
    const base::PixelRect inner = seen_from(inside, part);
    fill_inside(doubling, grain, inside, rows, moved(planes, inner, stride), stride, scratch, progress);
    extend(planes, stride, {part.width, part.height}, inner, beyond);
}

/// As the network made it.
void EnlargedBlocks::fill_from_blocks(int doubling, base::PixelRect part, const SourceRows& rows,
                                      const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                                      const base::Progress& progress) {
    for (int row = part.y / side; row * side < part.bottom(); ++row) {
        for (int column = part.x / side; column * side < part.right(); ++column) {
            const auto block = this->block({doubling, row, column}, rows, scratch, progress);
            const base::PixelRect common = base::intersection(part, {column * side, row * side, side, side});
            for (std::size_t channel = 0; channel < 3; ++channel) {
                const float* from = block->all().data() + channel * floats_a_plane +
                                    static_cast<std::size_t>(common.y - row * side) * side + (common.x - column * side);
                float* to =
                    planes[channel] + static_cast<std::size_t>(common.y - part.y) * stride + (common.x - part.x);
                for (int y = 0; y < common.height; ++y, from += side, to += stride) std::copy_n(from, common.width, to);
            }
        }
    }
}

std::shared_ptr<const EnlargedBlocks::Block> EnlargedBlocks::block(Key key, const SourceRows& rows, Scratch& scratch,
                                                                   const base::Progress& progress) {
    std::unique_lock lock(m_mutex);
    while (true) {
        const auto found = m_kept.find(key);
        if (found == m_kept.end()) break;
        if (found->second.block) {
            m_ages.splice(m_ages.begin(), m_ages, found->second.age);
            return found->second.block;
        }
        m_changed.wait(lock);
    }
    m_kept[key];
    lock.unlock();
    std::shared_ptr<const Block> made;
    try {
        made = computed(key, rows, scratch, progress);
    } catch (...) {
        lock.lock();
        m_kept.erase(key);
        m_changed.notify_all();  // Who waits for it computes it, or ends as this did.
        throw;
    }
    lock.lock();
    m_ages.push_front(key);
    m_kept[key] = {made, m_ages.begin()};
    while (m_ages.size() > m_most_blocks) {
        m_kept.erase(m_ages.back());
        m_ages.pop_back();
    }
    m_changed.notify_all();
    return made;
}

std::shared_ptr<const EnlargedBlocks::Block> EnlargedBlocks::computed(Key key, const SourceRows& rows, Scratch& scratch,
                                                                      const base::Progress& progress) {
    const auto [doubling, row, column] = key;
    const int halo = m_network.halo_px();
    const int width = m_network.source_px();
    const base::PixelRect part{column * source_side - halo, row * source_side - halo, width, width};
    const auto stride = static_cast<std::size_t>(width);
    const std::array<float*, 3> source =
        planes_in(scratch.doublings[static_cast<std::size_t>(doubling - 1)].source, part);
    fill_extended(doubling - 1, enlarge::Grain::calm, part, Beyond::mirrored, rows, source, stride, scratch, progress);

    const auto made = std::make_shared<Block>();
    float* const planes = made->room_for(3 * floats_a_plane);
    const enlarge::Measures measures = doubling == 1 ? m_measures : enlarge::Measures{};
    m_network.enlarge_block({{source[0], source[1], source[2]}, stride}, measures,
                            {{planes, planes + floats_a_plane, planes + 2 * floats_a_plane}, side}, scratch.network,
                            progress);
    return made;
}

}  // namespace hangtrue::render
