// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/network.h"

#include <omp.h>

#include <algorithm>
#include <cstring>
#include <utility>
#include <vector>

#include "engine/base/aligned_floats.h"
#include "engine/enlarge/row_convolution.h"

namespace hangtrue::enlarge {
namespace {

// What the training divides the noise plane by (training/network.py).
constexpr double noise_unit = 16.0 / 255;

/// In how many steps of width the residual blocks are computed: at each the columns that nothing looks at any more are
/// left out, which costs a copy.
constexpr int steps_of_width = 2;

/// For which the weights are laid out; the same for all widths.
constexpr int usual_width = 256;

/// Holds oneDNN at one thread, of this thread alone: parts are what runs in parallel. What it prepares remembers how
/// many threads there were, so this stands around preparing as around running.
class OneThread {
  public:
    OneThread() { omp_set_num_threads(1); }
    ~OneThread() { omp_set_num_threads(m_before); }
    OneThread(const OneThread&) = delete;
    OneThread& operator=(const OneThread&) = delete;

  private:
    int m_before = omp_get_max_threads();
};

/// Rows of pixels with all their channels. Each call brings rows_a_call new ones; those before are from earlier calls.
struct Rows {
    int count = 0;
    int width = 0;
    int channels = 0;
    float* first = nullptr;

    std::size_t row_floats() const { return static_cast<std::size_t>(width) * static_cast<std::size_t>(channels); }
    std::size_t floats() const { return static_cast<std::size_t>(count) * row_floats(); }
    float* row(int at) const { return first + static_cast<std::size_t>(at) * row_floats(); }
    float* newest() const { return row(count - rows_a_call); }
    /// Makes room for new ones.
    void move_on() const {
        std::memmove(first, row(rows_a_call),
                     static_cast<std::size_t>(count - rows_a_call) * row_floats() * sizeof(float));
    }
    /// New ones: the middle of each of `wider`'s from `at` on.
    void take(const Rows& wider, int at) const {
        const auto left = static_cast<std::size_t>((wider.width - width) / 2 * channels);
        for (int y = 0; y < rows_a_call; ++y) {
            std::copy_n(wider.row(at + y) + left, row_floats(), row(count - rows_a_call + y));
        }
    }
};

/// Some residual blocks of one width, each at work two rows above the one before. Finished rows lie at the body's top.
struct Stage {
    int first_block = 0;
    int blocks = 0;
    Rows body;
    Rows between;               ///< The convolutions of one block.
    std::vector<Rows> carried;  ///< For each block the last two rows between its convolutions.
};

/// Where everything lies for parts of one width.
struct Layout {
    Rows input;
    std::vector<Stage> stages;
    Rows last;  ///< What the blocks gave,
    Rows head;  ///< what came into them, which waits for that,
    Rows detail;

    /// In `floats`; nothing: only to count them.
    Layout(const Weights& weights, int halo, int width, float* floats) : m_next(floats) {
        const int channels = filled_channels(weights.channels());
        const int carries = 2;  // A convolution looks one row up and one down.
        input = rows(carries + rows_a_call, width + 2 * halo, filled_channels(network_inputs));
        const int blocks_a_stage = (weights.blocks() + steps_of_width - 1) / steps_of_width;
        for (int block = 0; block < weights.blocks(); block += blocks_a_stage) {
            const int blocks = std::min(blocks_a_stage, weights.blocks() - block);
            const int needed = block == 0 ? input.width : width + 2 * (halo - 1 - 2 * block);
            Stage& stage = stages.emplace_back(Stage{block, blocks, {}, {}, {}});
            stage.body = rows(2 * blocks + rows_a_call, needed, channels);
            stage.between = rows(carries + rows_a_call, needed, channels);
            for (int i = 0; i < blocks; ++i) stage.carried.push_back(rows(carries, needed, channels));
        }
        const int narrow = width + 4;  // Two convolutions are left.
        last = rows(carries + rows_a_call, narrow, channels);
        head = rows(2 * weights.blocks() + 3 + rows_a_call, narrow, channels);
        detail = rows(rows_a_call, narrow, filled_channels(network_outputs));
    }
    std::size_t floats() const { return m_floats; }

  private:
    Rows rows(int count, int width, int channels) {
        Rows made{count, width, channels, m_next};
        const std::size_t floats = base::aligned_floats(made.floats());
        m_floats += floats;
        if (m_next != nullptr) m_next += floats;
        return made;
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
    dnnl::engine engine{dnnl::engine::kind::cpu, 0};
    RowConvolutions convolutions{engine};
    std::vector<LaidOutWeights> layers;

    explicit State(Weights from) : weights(std::move(from)) {}
};

struct Network::Scratch::State {
    base::AlignedFloats floats;
    base::AlignedFloats scratchpad;
};

Network::Scratch::Scratch() = default;
Network::Scratch::~Scratch() = default;
Network::Scratch::Scratch(Scratch&&) noexcept = default;

Network::Network(Weights weights) : m_state(std::make_unique<State>(std::move(weights))) {
    const OneThread one_thread;
    m_halo = 2 * m_state->weights.blocks() + 3;  // A pixel for each convolution.
    for (const Convolution& convolution : m_state->weights.convolutions()) {
        const RowConvolution::Shape shape{filled_channels(convolution.inputs), filled_channels(convolution.outputs),
                                          usual_width, After::nothing};
        m_state->layers.push_back(m_state->convolutions.of(shape).laid_out(convolution.kernel, convolution.biases,
                                                                           convolution.inputs, convolution.outputs));
    }
}

Network::~Network() = default;

const base::Sha256& Network::hash() const { return m_state->weights.hash(); }

std::size_t Network::multiply_adds() const {
    std::size_t sum = 0;
    for (const Convolution& convolution : m_state->weights.convolutions()) sum += convolution.kernel.size();
    return sum;
}

std::size_t Network::scratch_bytes(int width) const {
    return Layout(m_state->weights, m_halo, width, nullptr).floats() * sizeof(float);
}

void Network::enlarge(const RgbPlanes<const float>& source, base::PixelSize part, const Measures& measures,
                      const RgbPlanes<float>& result, Scratch& scratch, const base::Progress& progress) const {
    const OneThread one_thread;
    State& state = *m_state;
    if (!scratch.m_state) scratch.m_state = std::make_unique<Scratch::State>();
    const std::size_t floats = scratch_bytes(part.width) / sizeof(float);
    // Rows above the first come into sums that nothing looks at: whatever lies there must not be slow to add.
    const Layout at(state.weights, m_halo, part.width,
                    std::fill_n(scratch.m_state->floats.room_for(floats), floats, 0.0f) - floats);
    const dnnl::stream stream(state.engine);

    int call = 0;
    std::size_t layer = 0;
    const auto convolve = [&](const Rows& from, int from_row, After after, const Rows& to, int to_row) {
        // Before that, all its rows lie above those that the next layers look at.
        const bool is_needed = (call + 1) * rows_a_call > 2 * (static_cast<int>(layer) + 1);
        if (is_needed) {
            progress.check();
            const RowConvolution& convolution = state.convolutions.of({from.channels, to.channels, from.width, after});
            convolution.run(stream, from.row(from_row), state.layers[layer], to.row(to_row),
                            scratch.m_state->scratchpad);
        }
        ++layer;
    };

    const int source_rows = part.height + 2 * m_halo;
    for (; call * rows_a_call < source_rows; ++call) {
        layer = 0;
        const int first_row = call * rows_a_call;
        for (int y = 0; y < std::min(rows_a_call, source_rows - first_row); ++y) {
            lay_out_row(source, static_cast<std::size_t>(first_row + y), measures, at.input,
                        at.input.row(at.input.count - rows_a_call + y));
        }
        const Rows& opening = at.stages.front().body;
        convolve(at.input, 0, After::nothing, opening, opening.count - rows_a_call);
        at.head.take(opening, opening.count - rows_a_call);
        const Rows* finished = nullptr;
        for (const Stage& stage : at.stages) {
            if (finished != nullptr) stage.body.take(*finished, 0);
            for (int block = 0; block < stage.blocks; ++block) {
                const int row = 2 * (stage.blocks - 1 - block);
                const Rows& carried = stage.carried[static_cast<std::size_t>(block)];
                std::copy_n(carried.first, carried.floats(), stage.between.first);
                convolve(stage.body, row, After::relu, stage.between, carried.count);
                std::copy_n(stage.between.row(rows_a_call), carried.floats(), carried.first);
                convolve(stage.between, 0, After::add, stage.body, row);
            }
            finished = &stage.body;
        }
        at.last.take(*finished, 0);
        convolve(at.last, 0, After::add, at.head, 2);
        convolve(at.head, 0, After::nothing, at.detail, 0);

        const int first = std::max(0, first_row - 2 * m_halo);
        const int end = std::min(part.height, first_row - 2 * m_halo + rows_a_call);
        for (int y = first; y < end; ++y) {
            shuffle_row(at.detail.row(y - (first_row - 2 * m_halo)) + 2 * at.detail.channels, at.detail.channels,
                        part.width, result, static_cast<std::size_t>(y));
        }
        for (std::size_t channel = 0; first < end && channel < 3; ++channel) {
            const auto row = static_cast<std::size_t>(first);
            const auto halo = static_cast<std::size_t>(m_halo);
            add_doubled(source.planes[channel] + (halo + row) * source.stride + halo, source.stride, part.width,
                        end - first, result.planes[channel] + 2 * row * result.stride, result.stride);
        }
        for (const Rows* rows : {&at.input, &at.last, &at.head}) rows->move_on();
        for (const Stage& stage : at.stages) stage.body.move_on();
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
