// SPDX-License-Identifier: Apache-2.0
#include "engine/render/likeness.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/render/borders.h"

namespace hangtrue::render {
namespace {

constexpr int block_px = Likeness::block_px;
constexpr int block_samples = 3 * block_px * block_px;

base::PixelRect times(base::PixelRect rect, int factor) {
    return {rect.x * factor, rect.y * factor, rect.width * factor, rect.height * factor};
}

base::PixelRect whole(base::PixelSize size) { return {0, 0, size.width, size.height}; }

/// First and last-plus-one whole block of [from, to).
std::pair<int, int> whole_blocks(double from, double to) {
    const int first = static_cast<int>(std::ceil(from / block_px));
    return {first, std::max(first, static_cast<int>(std::floor(to / block_px)))};
}

/// Blocks whose first pixel lies in [from, to).
std::pair<int, int> begun_blocks(int from, int to, int side) {
    return {(from + side - 1) / side, (to + side - 1) / side};
}

const float* pixel(const LikenessRecord::Planes& planes, std::size_t channel, int x, int y) {
    return planes.planes[channel] + static_cast<std::size_t>(y - planes.part.y) * planes.stride + (x - planes.part.x);
}

}  // namespace

void LikenessRecord::Block::add(const Planes& picture, const Planes& again, std::size_t channel, int x, int y) {
    double absolute = 0;
    double squared = 0;
    double sum = 0;
    for (int row = y; row < y + block_px; ++row) {
        const float* before = pixel(picture, channel, x, row);
        const float* now = pixel(again, channel, x, row);
        for (int i = 0; i < block_px; ++i) {
            const double difference = static_cast<double>(now[i]) - static_cast<double>(before[i]);
            absolute += std::abs(difference);
            squared += difference * difference;
            sum += difference;
        }
    }
    differences += static_cast<float>(absolute);
    squares += static_cast<float>(squared);
    largest = std::max(largest, static_cast<float>(std::abs(sum) / (block_px * block_px)));
}

double Likeness::decibels() const {
    constexpr double most = 200;
    return root_mean_square > 0 ? std::min(most, 20 * std::log10(255 / root_mean_square)) : most;
}

LikenessRecord::LikenessRecord(const plan::Plan& plan)
    : m_picture(plan.picture.size),
      m_doublings(plan.network.doublings),
      m_first(plan.network.measures),
      m_second(enlarge::Measures{}) {
    const base::RealRect& crop = plan.geometry.crop;
    const auto [left, right] = whole_blocks(crop.x, std::min<double>(crop.x + crop.width, m_picture.width));
    const auto [top, bottom] = whole_blocks(crop.y, std::min<double>(crop.y + crop.height, m_picture.height));
    m_blocks = {left, top, right - left, bottom - top};
    m_taken.resize(static_cast<std::size_t>(m_blocks.width) * static_cast<std::size_t>(m_blocks.height));
}

base::PixelRect LikenessRecord::blocks_in(base::PixelRect part) const {
    part = base::intersection(part, times(whole(m_picture), 1 << m_doublings));
    const int side = block_px << m_doublings;
    const auto [left, right] = begun_blocks(part.x, part.right(), side);
    const auto [top, bottom] = begun_blocks(part.y, part.bottom(), side);
    return base::intersection({left, top, right - left, bottom - top}, m_blocks);
}

/// With what making small again reaches, in picture pixels; may reach beyond the picture.
base::PixelRect LikenessRecord::surroundings(base::PixelRect blocks) const {
    const base::PixelRect pixels = times(blocks, block_px);
    const int reach = m_first.reach_px();
    return {pixels.x - reach, pixels.y - reach, pixels.width + 2 * reach, pixels.height + 2 * reach};
}

base::PixelRect LikenessRecord::enlarged_part(base::PixelRect blocks) const {
    return times(base::intersection(surroundings(blocks), whole(m_picture)), 1 << m_doublings);
}

/// `part` of the enlarged picture into three planes of its size; beyond the picture's border it is mirrored, as it was
/// when it was made consistent.
void LikenessRecord::cut_out(base::PixelRect part, const Planes& enlarged, const std::array<float*, 3>& to) const {
    const base::PixelRect inside = base::intersection(part, times(whole(m_picture), 1 << m_doublings));
    const base::PixelRect inner{inside.x - part.x, inside.y - part.y, inside.width, inside.height};
    const auto width = static_cast<std::size_t>(part.width);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (int y = 0; y < inside.height; ++y) {
            std::copy_n(pixel(enlarged, channel, inside.x, inside.y + y), inside.width,
                        to[channel] + static_cast<std::size_t>(inner.y + y) * width + inner.x);
        }
    }
    extend(to, width, {part.width, part.height}, inner, Beyond::mirrored);
}

/// One plane made small again, in place; `other` has room for a quarter of it. Where the result stands.
const float* LikenessRecord::made_small_again(float* plane, base::PixelSize size, float* other, float* scratch) const {
    float* from = plane;
    for (int doubling = m_doublings; doubling > 0; --doubling, std::swap(from, other)) {
        const enlarge::Consistency& by = doubling == 1 ? m_first : m_second;
        const int width = size.width << (doubling - 1);
        by.made_small(from, 2 * static_cast<std::size_t>(width), width, size.height << (doubling - 1), other, scratch);
    }
    return from;
}

void LikenessRecord::take(base::PixelRect blocks, const Planes& picture, const Planes& enlarged,
                          base::AlignedFloats& scratch) {
    if (blocks.empty()) return;
    const base::PixelRect around = surroundings(blocks);
    const base::PixelRect large = times(around, 1 << m_doublings);
    const auto floats = static_cast<std::size_t>(large.width) * static_cast<std::size_t>(large.height);
    const std::size_t line = std::max(m_first.scratch_floats(around.width), m_second.scratch_floats(2 * around.width));
    float* const planes = scratch.room_for(3 * floats + floats / 4 + line);
    float* const other = planes + 3 * floats;
    cut_out(large, enlarged, {planes, planes + floats, planes + 2 * floats});

    std::vector<Block> found(static_cast<std::size_t>(blocks.width) * static_cast<std::size_t>(blocks.height));
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const float* small =
            made_small_again(planes + channel * floats, {around.width, around.height}, other, other + floats / 4);
        const Planes again{{small, small, small}, static_cast<std::size_t>(around.width), around};
        auto block = found.begin();
        for (int row = blocks.y; row < blocks.bottom(); ++row) {
            for (int column = blocks.x; column < blocks.right(); ++column) {
                (block++)->add(picture, again, channel, column * block_px, row * block_px);
            }
        }
    }

    const std::lock_guard lock(m_mutex);
    for (int row = 0; row < blocks.height; ++row) {
        const auto from = found.begin() + static_cast<std::ptrdiff_t>(row) * blocks.width;
        std::copy(from, from + blocks.width,
                  m_taken.begin() + static_cast<std::ptrdiff_t>(blocks.y + row - m_blocks.y) * m_blocks.width +
                      (blocks.x - m_blocks.x));
    }
}

std::optional<Likeness> LikenessRecord::likeness() const {
    if (m_taken.empty()) return std::nullopt;
    double differences = 0;
    double squares = 0;
    double largest = 0;
    for (const Block& block : m_taken) {
        differences += static_cast<double>(block.differences);
        squares += static_cast<double>(block.squares);
        largest = std::max(largest, static_cast<double>(block.largest));
    }
    const auto samples = static_cast<double>(m_taken.size()) * block_samples;
    return Likeness{static_cast<std::int64_t>(m_taken.size()) * block_px * block_px, 255 * differences / samples,
                    255 * std::sqrt(squares / samples), 255 * largest};
}

}  // namespace hangtrue::render
