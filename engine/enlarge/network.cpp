// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/network.h"

#include <algorithm>
#include <cstring>
#include <optional>
#include <utility>
#include <vector>

#include "engine/base/aligned_floats.h"
#include "engine/enlarge/flat_tiles.h"
#include "engine/enlarge/winograd.h"

namespace hangtrue::enlarge {
namespace {

// What the training divides the noise plane by (training/network.py).
constexpr double noise_unit = 16.0 / 255;

/// Rows that one call of a layer gives, from two more: as few as keep what a call touches in the caches near the
/// processor, and as many as make what is carried from call to call cheap.
constexpr int rows_a_call = 8;
constexpr int carried_rows = 2;  // A convolution looks one row up and one down.

/// What a layer loses: a pixel right and below; left and above as many more as make its tiles whole.
constexpr int lost_before = tile_px - 1;
constexpr int lost_after = 1;

/// How far from a tile the picture is looked at to call it flat: 16 pixels.
constexpr int most_look_tiles = 4;

int whole_tiles(int length) { return (length + tile_px - 1) / tile_px * tile_px; }

/// Rows of pixels with all their channels. Each call brings rows_a_call new ones; those before are from earlier calls.
struct Rows {
    int count = 0;
    int width = 0;
    int channels = 0;
    float* first = nullptr;

    std::size_t row_floats() const { return static_cast<std::size_t>(width) * static_cast<std::size_t>(channels); }
    std::size_t floats() const { return static_cast<std::size_t>(count) * row_floats(); }
    float* row(int at) const { return first + static_cast<std::size_t>(at) * row_floats(); }
    float* pixel(int row_at, int column) const {
        return row(row_at) + static_cast<std::size_t>(column) * static_cast<std::size_t>(channels);
    }
    int newest() const { return count - rows_a_call; }
    /// Makes room for new ones.
    void move_on() const {
        std::memmove(first, row(rows_a_call), static_cast<std::size_t>(newest()) * row_floats() * sizeof(float));
    }
};

/// Where everything lies. All rows begin at the same column of the source and are as wide; each layer fills fewer.
struct Layout {
    Rows input;
    Rows body;     ///< Each residual block is at work two rows above the one before; the finished are on top.
    Rows between;  ///< The convolutions of one block.
    std::vector<Rows> carried;  ///< For each block the last rows between its convolutions.
    Rows head;                  ///< What came into the blocks, which waits for what they give.
    Rows detail;
    float* tiles;

    /// In `floats`; nothing: only to count them.
    Layout(const Weights& weights, int width, std::size_t tile_floats, float* floats) : m_next(floats) {
        const int channels = filled_channels(weights.channels());
        const int blocks = weights.blocks();
        input = rows(carried_rows + rows_a_call, width, filled_channels(network_inputs));
        body = rows(carried_rows + 2 * blocks + rows_a_call, width, channels);
        between = rows(carried_rows + rows_a_call, width, channels);
        for (int block = 0; block < blocks; ++block) carried.push_back(rows(carried_rows, width, channels));
        head = rows(carried_rows + 2 * blocks + 1 + rows_a_call, width, channels);
        detail = rows(rows_a_call, width, filled_channels(network_outputs));
        tiles = room(tile_floats);
    }
    std::size_t floats() const { return m_floats; }

  private:
    Rows rows(int count, int width, int channels) {
        Rows made{count, width, channels, nullptr};
        made.first = room(made.floats());
        return made;
    }
    float* room(std::size_t count) {
        float* const here = m_next;
        m_floats += base::aligned_floats(count);
        if (m_next != nullptr) m_next += base::aligned_floats(count);
        return here;
    }
    float* m_next;
    std::size_t m_floats = 0;
};

/// Three planes' pixels side by side, with what the network is told of them.
void lay_out_row(const RgbPlanes<const float>& source, std::size_t row, const Measures& measures, const Rows& input,
                 float* to) {
    const std::array<float, 3> told{static_cast<float>(measures.noise_sd / noise_unit),
                                    static_cast<float>(measures.blur_px), static_cast<float>(measures.coding)};
    for (std::size_t x = 0; x < static_cast<std::size_t>(input.width); ++x, to += input.channels) {
        for (std::size_t channel = 0; channel < 3; ++channel) {
            to[channel] = source.planes[channel][row * source.stride + x] - 0.5f;
            to[3 + channel] = told[channel];
        }
    }
}

/// Those of a part's tiles. They look as far as the network does, but no further than decides anything.
FlatTiles flat_tiles(const RgbPlanes<const float>& source, base::PixelSize tiles, const Measures& measures,
                     const Halo& halo, int layers) {
    const int look_tiles = std::min(most_look_tiles, (layers + 1) / tile_px);
    const auto start = static_cast<std::size_t>(halo.before_px - look_tiles * tile_px) * (source.stride + 1);
    return {{{source.planes[0] + start, source.planes[1] + start, source.planes[2] + start}, source.stride},
            tiles,
            look_tiles,
            most_codes_of_flat(measures)};
}

/// Nothing is added to the cubic there. `detail`: a row of pixels.
void leave_out_flat(const FlatTiles& flat, int tile_row, int tile_columns, float* detail, int channels) {
    const auto tile_floats = static_cast<std::size_t>(tile_px * channels);
    for (int column = 0; column < tile_columns; ++column, detail += tile_floats) {
        if (flat.is_flat(tile_row, column)) std::fill_n(detail, tile_floats, 0.0f);
    }
}

/// Four places of each channel, shuffled into two rows and twice the columns.
void shuffle_row(const float* detail, int channels, int width, const RgbPlanes<float>& result, std::size_t row) {
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const float* from = detail + 4 * channel;
        float* upper = result.planes[channel] + 2 * row * result.stride;
        float* lower = upper + result.stride;
        for (int x = 0; x < width; ++x, from += channels) {
            *upper++ = from[0];
            *upper++ = from[1];
            *lower++ = from[2];
            *lower++ = from[3];
        }
    }
}

}  // namespace

struct Network::State {
    Weights weights;
    std::vector<WinogradConvolution> layers;
    std::size_t tile_floats = 0;

    explicit State(Weights from) : weights(std::move(from)) {
        for (const Convolution& convolution : weights.convolutions()) {
            layers.emplace_back(convolution);
            tile_floats = std::max(tile_floats, layers.back().scratch_floats());
        }
    }
    /// Of the source, for parts so wide.
    int columns(int part_width) const {
        return whole_tiles(part_width) + static_cast<int>(layers.size()) * (lost_before + lost_after);
    }
};

struct Network::Scratch::State {
    base::AlignedFloats floats;
};

Network::Scratch::Scratch() = default;
Network::Scratch::~Scratch() = default;
Network::Scratch::Scratch(Scratch&&) noexcept = default;

Network::Network(Weights weights, Flat flat) : m_state(std::make_unique<State>(std::move(weights))), m_flat(flat) {
    static_assert(place_px == tile_px);
    const int layers = static_cast<int>(m_state->layers.size());
    m_halo = {layers * lost_before, layers * lost_after + tile_px};
}

Network::~Network() = default;

const base::Sha256& Network::hash() const { return m_state->weights.hash(); }

std::size_t Network::multiply_adds() const {
    std::size_t sum = 0;
    for (const Convolution& convolution : m_state->weights.convolutions()) sum += convolution.kernel.size();
    return sum;
}

std::size_t Network::scratch_bytes(int width) const {
    return Layout(m_state->weights, m_state->columns(width), m_state->tile_floats, nullptr).floats() * sizeof(float);
}

void Network::enlarge(const RgbPlanes<const float>& source, base::PixelSize part, const Measures& measures,
                      const RgbPlanes<float>& result, Scratch& scratch, const base::Progress& progress) const {
    const State& state = *m_state;
    if (!scratch.m_state) scratch.m_state = std::make_unique<Scratch::State>();
    const std::size_t floats = scratch_bytes(part.width) / sizeof(float);
    // Rows above the first come into sums that nothing looks at: whatever lies there must not be slow to add.
    const Layout at(state.weights, state.columns(part.width), state.tile_floats,
                    std::fill_n(scratch.m_state->floats.room_for(floats), floats, 0.0f) - floats);
    const int blocks = state.weights.blocks();
    const int layers = static_cast<int>(state.layers.size());
    const int source_rows = whole_tiles(part.height) + layers * (lost_before + lost_after);
    const base::PixelSize tiles{whole_tiles(part.width) / tile_px, whole_tiles(part.height) / tile_px};
    // What the network has made itself is no whole codes any more.
    const bool may_be_flat = m_flat == Flat::by_cubic && measures != own_result;
    const std::optional<FlatTiles> flat =
        may_be_flat ? std::optional(flat_tiles(source, tiles, measures, m_halo, layers)) : std::nullopt;

    int call = 0;
    int layer = 0;
    const auto convolve = [&](const Rows& from, int from_row, After after, const Rows& to, int to_row) {
        const int index = layer++;
        // Before these, rows lie above those that the next layers look at, and columns left of them.
        const int first = std::max(0, layer * (lost_before + lost_after) - call * rows_a_call);
        const int end = std::min(rows_a_call, source_rows - call * rows_a_call);
        if (first >= end) return;
        // A tile is made of the one at its place in the layer before, and of those next to it right and below: so it
        // goes into as many of the part as layers follow, left and above.
        const int later = layers - layer;
        const int tile_row = (call * rows_a_call + first) / tile_px - layer;
        const int end_row = tile_row + (end - first) / tile_px;
        const FlatTiles::Columns wanted =
            flat ? flat->not_flat(tile_row - later, end_row) : FlatTiles::Columns{0, tiles.width};
        if (wanted.first == wanted.end) return;
        progress.check();
        const int left = layer * lost_before + wanted.first * tile_px;
        const int width = (wanted.end - wanted.first + later) * tile_px;
        state.layers[static_cast<std::size_t>(index)].run({from.pixel(from_row + first, left - 1), from.row_floats()},
                                                          {width, end - first}, after,
                                                          {to.pixel(to_row + first, left), to.row_floats()}, at.tiles);
    };

    for (; call * rows_a_call < source_rows; ++call) {
        layer = 0;
        const int first_row = call * rows_a_call;
        for (int y = 0; y < std::min(rows_a_call, source_rows - first_row); ++y) {
            lay_out_row(source, static_cast<std::size_t>(first_row + y), measures, at.input,
                        at.input.row(at.input.newest() + y));
        }
        convolve(at.input, 0, After::nothing, at.body, at.body.newest());
        std::copy_n(at.body.row(at.body.newest()), rows_a_call * at.body.row_floats(), at.head.row(at.head.newest()));
        for (int block = 0; block < blocks; ++block) {
            const int row = carried_rows + 2 * (blocks - 1 - block);
            const Rows& carried = at.carried[static_cast<std::size_t>(block)];
            std::copy_n(carried.first, carried.floats(), at.between.first);
            convolve(at.body, row, After::relu, at.between, carried_rows);
            std::copy_n(at.between.row(rows_a_call), carried.floats(), carried.first);
            convolve(at.between, 0, After::add, at.body, row);
        }
        convolve(at.body, 0, After::add, at.head, carried_rows);
        convolve(at.head, 0, After::nothing, at.detail, 0);

        const int part_row = first_row - layers * (lost_before + lost_after);
        const int first = std::max(0, part_row);
        const int end = std::min(part.height, part_row + rows_a_call);
        for (int y = first; flat && y < end; ++y) {
            leave_out_flat(*flat, y / tile_px, tiles.width, at.detail.pixel(y - part_row, m_halo.before_px),
                           at.detail.channels);
        }
        for (int y = first; y < end; ++y) {
            shuffle_row(at.detail.pixel(y - part_row, m_halo.before_px), at.detail.channels, part.width, result,
                        static_cast<std::size_t>(y));
        }
        for (std::size_t channel = 0; first < end && channel < 3; ++channel) {
            const auto row = static_cast<std::size_t>(first);
            const auto halo = static_cast<std::size_t>(m_halo.before_px);
            add_doubled(source.planes[channel] + (halo + row) * source.stride + halo, source.stride, part.width,
                        end - first, result.planes[channel] + 2 * row * result.stride, result.stride);
        }
        for (const Rows* rows : {&at.input, &at.body, &at.head}) rows->move_on();
    }
}

void add_doubled(const float* source, std::size_t source_stride, int width, int height, float* result,
                 std::size_t result_stride) {
    // At distances 7/4, 3/4, 1/4 and 5/4 of a pixel for the places before a pixel's middle; mirrored after it.
    constexpr std::array<float, 4> weights{-0.0234375f, 0.2265625f, 0.8671875f, -0.0703125f};
    constexpr int columns_at_once = 256;
    std::array<float, columns_at_once + 4> line;
    for (int left = 0; left < width; left += columns_at_once) {
        const auto columns = static_cast<std::size_t>(std::min(columns_at_once, width - left));
        for (int y = 0; y < 2 * height; ++y) {
            const bool after = y % 2 == 1;
            const float* row =
                source + static_cast<std::ptrdiff_t>(source_stride) * (y / 2 - (after ? 1 : 2)) + left - 2;
            const auto tap = [&](std::size_t i) { return weights[after ? 3 - i : i]; };
            for (std::size_t x = 0; x < columns + 4; ++x) {
                line[x] = tap(0) * row[x] + tap(1) * row[x + source_stride] + tap(2) * row[x + 2 * source_stride] +
                          tap(3) * row[x + 3 * source_stride];
            }
            float* to = result + static_cast<std::size_t>(y) * result_stride + 2 * static_cast<std::size_t>(left);
            for (std::size_t x = 0; x < columns; ++x) {
                const float* at = line.data() + x;
                to[2 * x] += weights[0] * at[0] + weights[1] * at[1] + weights[2] * at[2] + weights[3] * at[3];
                to[2 * x + 1] += weights[3] * at[1] + weights[2] * at[2] + weights[1] * at[3] + weights[0] * at[4];
            }
        }
    }
}

}  // namespace hangtrue::enlarge
